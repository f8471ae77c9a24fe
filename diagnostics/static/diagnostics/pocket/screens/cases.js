// The cases on this phone, and those to take along.

import { button, link, make, row, section } from "../elements.js";
import { go, again } from "../going.js";
import { speak, tell } from "../hand.js";
import { canBeKept } from "../keeping_page.js";
import { carriedCases, carry, drop, openCases } from "../kits.js";
import { waiting } from "../outbox.js";
import { isFull } from "../store.js";
import { notFetched, say } from "../words.js";

export async function cases() {
  const carried = await carriedCases();
  const place = make("div", { class: "to-take" });
  fill(place, new Set(carried.map((one) => one.number)));
  return [
    make("h1", {}, say("cases_on_this_phone")),
    missing(),
    carried.length
      ? make("ul", { class: "ruled-list cases" }, await Promise.all(carried.map(entry)))
      : make("p", { class: "empty" }, say("no_case_here")),
    place,
    row(link(say("all_cases"), "/cases/")),
  ];
}

// What a page without HTTPS cannot do, said plainly.
function missing() {
  if (canBeKept()) return null;
  return make(
    "div",
    { class: "caution", role: "note" },
    make("h2", {}, say("without_https")),
    make("p", {}, say("without_https_missing")),
    make("p", {}, say("without_https_works")),
  );
}

async function entry({ number, summary, conveyor }) {
  const count = await waiting(number);
  const leave = button(say("leave_here"), () => forget(number), {
    "aria-label": `${say("leave_here")}: ${number}`,
  });
  return make(
    "li",
    {},
    make(
      "a",
      { class: "case-line", href: `/walk/${encodeURIComponent(number)}/` },
      make("strong", {}, `${conveyor.tag} ${conveyor.name}`),
      make("span", {}, summary),
      make("span", { class: "muted figure" }, number),
    ),
    count ? make("p", { class: "amber" }, say("to_be_sent", { count })) : leave,
  );
}

async function forget(number) {
  try {
    await drop(number);
    await again();
  } catch {
    tell(say("still_waits_here"));
  }
}

const NOTHING_OFFERED = { "signed-out": "sign_in_to_take", "not-allowed": "role_may_not_walk" };

async function fill(place, carried) {
  let open;
  try {
    open = await openCases();
  } catch (error) {
    if (!error.reason) throw error;
    place.append(make("p", { class: "muted" }, say(NOTHING_OFFERED[error.reason] ?? "signal_to_take")));
    if (error.reason === "signed-out") {
      place.append(row(link(say("sign_in"), `/sign-in/?next=${encodeURIComponent("/walk/")}`)));
    }
    return;
  }
  const left = open.filter((one) => !carried.has(one.number));
  place.append(
    section(
      say("take_along"),
      left.length
        ? make("ul", { class: "ruled-list cases" }, left.map(offered))
        : make("p", { class: "empty" }, say("nothing_to_take")),
    ),
  );
}

function offered({ number, summary, conveyor }) {
  const words = typeof conveyor === "string" ? conveyor : `${conveyor.tag} ${conveyor.name ?? ""}`;
  const take = button(say("take"), () => bring(number), { "aria-label": `${say("take")}: ${number}` });
  return make(
    "li",
    { class: "offered" },
    make(
      "span",
      { class: "case-line" },
      make("strong", {}, words),
      make("span", {}, summary),
      make("span", { class: "muted figure" }, number),
    ),
    take,
  );
}

async function bring(number) {
  speak(say("being_fetched"));
  try {
    await carry(number);
    await go(`/walk/${encodeURIComponent(number)}/`);
  } catch (error) {
    const hasNoRoom = isFull(error);
    if (!hasNoRoom && !error.reason) throw error;
    tell(hasNoRoom ? say("storage_full", { what: number }) : notFetched(error.reason, number));
  }
}
