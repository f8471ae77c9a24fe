// The walk-down in one page: which screen an address means, and the line at the top.
// Screens are functions of where they are; everything they need is on the phone.

import { hand, hearNow, takeUp, tell } from "./hand.js";
import { personOnPhone } from "./kits.js";
import { keepPage } from "./keeping_page.js";
import { keepSending, outbox } from "./outbox.js";
import { makeGo, refreshed } from "./going.js";
import { link, make, row } from "./elements.js";
import { placeFrom } from "./route.js";
import { say } from "./words.js";
import { keepTopLine } from "./top_line.js";
import { before, howAgain } from "./screens/before.js";
import { cases } from "./screens/cases.js";
import { finding } from "./screens/finding.js";
import { findings } from "./screens/findings.js";
import { millimetrePad } from "./screens/millimetre_pad.js";
import { noticed } from "./screens/noticed.js";
import { opening } from "./screens/opening.js";
import { photo } from "./screens/photo.js";
import { places } from "./screens/places.js";
import { station } from "./screens/station.js";
import { summary } from "./screens/summary.js";
import { timed } from "./screens/timed.js";
import { unreachable } from "./screens/unreachable.js";

// Screens of a place need a walk under way; the others do not.
const SCREENS = { "": opening, before, findings, finding, noticed, photo, summary };
const OF_A_WALK = {
  how: howAgain,
  at: station,
  place: station,
  mm: millimetrePad,
  unseen: unreachable,
  places,
  taps: timed,
};
const main = document.getElementById("content");
let showing = 0;
// What the screen shown does when it is left.
let leave = null;

// Where the address stands: the case's number and the parts behind the hash.
function here() {
  const [, , number = ""] = location.pathname.split("/");
  const parts = location.hash.replace(/^#\/?/, "").split("/");
  return { number: read(number), parts: parts.map(read) };
}

function read(part) {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}

async function show({ focus = "", isQuiet = false } = {}) {
  const mine = (showing += 1);
  let inside;
  try {
    inside = await screen(here());
  } catch (error) {
    if (!error.reason) console.error(error);
    inside = trouble(error);
  }
  if (mine !== showing) return;
  leave?.();
  main.replaceChildren(...inside.filter((one) => one instanceof Node));
  holdBriefly();
  const heading = main.querySelector("h1");
  heading.tabIndex = -1;
  document.title = `${heading.textContent} · Loopwright`;
  name(here());
  const wanted = focus && main.querySelector(focus);
  (wanted || heading).focus({ preventScroll: true });
  if (!wanted && !isQuiet) scrollTo(0, 0);
  // A screen's function runs once the screen is there; what it gives runs when it goes.
  leave = inside.find((one) => typeof one === "function")?.() ?? null;
}

async function screen({ number, parts }) {
  if (!number) return cases();
  if (hand.number !== number || !hand.kit) {
    await takeUp(number);
    tellNews({ atOnce: true });
  }
  const [first, ...rest] = parts;
  if (first in SCREENS) return SCREENS[first](rest);
  if (!(first in OF_A_WALK)) return lost();
  if (!hand.state.walk) return first === "how" ? summary(rest) : opening(rest);
  return OF_A_WALK[first](OF_A_WALK[first] === station ? parts : rest, placeFrom(hand.kit, parts));
}

// Deaf to touch while the second half of a double tap may still come: it was meant for the screen
// before.
function holdBriefly() {
  const left = hand.deafUntil - performance.now();
  if (left <= 0) return;
  main.classList.add("deaf");
  setTimeout(() => main.classList.remove("deaf"), left);
}

const WHY = {
  offline: "cannot_open_offline",
  "signed-out": "cannot_open_signed_out",
  gone: "cannot_open_gone",
  "not-allowed": "role_may_not_walk",
};

function lost() {
  return [make("h1", {}, say("no_such_screen")), row(link(say("to_the_case"), "#/"))];
}

function trouble(error) {
  const next = encodeURIComponent(location.pathname);
  return [
    make("h1", {}, say("cannot_open")),
    make("p", {}, say(WHY[error.reason] ?? "cannot_open_otherwise")),
    row(
      error.reason === "signed-out" && link(say("sign_in"), `/sign-in/?next=${next}`),
      link(say("to_the_cases"), "/walk/"),
    ),
  ];
}

// The title block at the foot names the sheet and its reader.
async function name({ number }) {
  const tag = number && hand.number === number && hand.kit ? ` · ${hand.kit.conveyor.tag}` : "";
  document.getElementById("sheet-name").textContent = `${say("walk_down")} ${number}${tag}`;
  const person = await personOnPhone();
  document.getElementById("person-block").hidden = !person;
  document.getElementById("person-name").textContent = person?.name ?? "";
}

// Links to other screens of this page open without asking the site.
addEventListener("click", (event) => {
  const to = event.target.closest?.("a[href]");
  if (!to || event.defaultPrevented || event.ctrlKey || event.metaKey || event.shiftKey) return;
  const path = to.getAttribute("href");
  if (!path.startsWith("/walk/")) return;
  event.preventDefault();
  history.pushState(null, "", path);
  tell("");
  show();
});
addEventListener("popstate", () => {
  tell("");
  show();
});

// What others did meanwhile comes when this phone has sent its own; asked when a case is opened.
const OF_NEWS = ["", "summary"];
async function tellNews(options) {
  if (!(await hearNow(options))) return;
  const { number, parts } = here();
  if (number === hand.number && OF_NEWS.includes(parts[0])) refreshed();
}
let waited = 0;
outbox.addEventListener("change", ({ detail }) => {
  if (waited && !detail.waiting) tellNews({ atOnce: OF_NEWS.includes(here().parts[0]) });
  waited = detail.waiting;
});

makeGo(show);
keepTopLine(document.getElementById("top-line"));
keepSending();
show().finally(keepPage);
