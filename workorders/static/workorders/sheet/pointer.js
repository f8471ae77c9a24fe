// Carrying by mouse, pen and finger. A mouse carries once it has moved a little; a finger must
// rest first, for one that moves at once scrolls the page.

import { carryOff, carryTo, inHand, leave, pickUp, putDown } from "./carrying.js";
import { minuteAt, placeUnder, standingPlace } from "./places.js";
import { say, word } from "./telling.js";

const LEAST_PX = 5;
const REST_MS = 450;
// A strip at the edge of the screen within which the page runs along. [px]
const EDGE_PX = 70;
const RUN_PX = 14;

let held = null;
let isCarrying = false;
let at = null;
let running = null;

export function followPointer() {
  document.addEventListener("pointerdown", grab);
  document.addEventListener("pointermove", move);
  document.addEventListener("pointerup", letGo);
  document.addEventListener("pointercancel", giveUp);
  // Not passive: while work is carried the finger must not scroll the page.
  document.addEventListener("touchmove", (event) => isCarrying && event.preventDefault(), {
    passive: false,
  });
  document.addEventListener("contextmenu", (event) => {
    if (held?.isFinger) event.preventDefault();
  });
  // A link that was carried is not followed.
  document.addEventListener("click", swallow, true);
  document.addEventListener("dragstart", (event) => {
    if (event.target.closest?.("[data-job]")) event.preventDefault();
  });
}

function grab(event) {
  const job = event.target.closest("[data-job]");
  if (!job || event.button !== 0 || inHand()) return;
  // In the tray only the number carries, so that a finger can scroll the list.
  held = { job, x: event.clientX, y: event.clientY, isFinger: event.pointerType !== "mouse" };
  if (held.isFinger) held.resting = setTimeout(begin, REST_MS);
}

function begin() {
  if (!held) return;
  const standing = standingPlace(held.job);
  const grabbed = standing ? minuteAt(standing.lanes, held.x, held.y) - standing.starts : 0;
  pickUp(held.job);
  // Lettering reaches beyond a short bar; held there, the bar follows by its end.
  held.grabbed = Math.min(Math.max(grabbed, 0), inHand().minutes);
  isCarrying = true;
  say(`${inHand().label}: ${word("carried")}`);
}

function move(event) {
  if (!held) return;
  const far = Math.hypot(event.clientX - held.x, event.clientY - held.y) > LEAST_PX;
  if (!isCarrying) {
    if (!far) return;
    if (held.isFinger) return forget();
    begin();
  }
  at = { x: event.clientX, y: event.clientY };
  show();
  run();
  return undefined;
}

function show() {
  const under = document.elementFromPoint(at.x, at.y);
  if (under?.closest("#sheet-off, #tray")) carryOff();
  else {
    openDay(under);
    carryTo(placeUnder(at.x, at.y, held.grabbed));
  }
}

// A day that is folded opens when work is held over its line.
function openDay(under) {
  const day = under?.closest("summary")?.parentElement;
  clearTimeout(held.opening);
  if (day && !day.open) held.opening = setTimeout(() => (day.open = true), 500);
}

// Held near the edge of the screen, the page runs along under it.
function run() {
  clearInterval(running);
  const up = at.y < EDGE_PX;
  const down = at.y > innerHeight - EDGE_PX && !document.elementFromPoint(at.x, at.y)?.closest("#sheet-off");
  if (!up && !down) return;
  running = setInterval(() => {
    scrollBy(0, up ? -RUN_PX : RUN_PX);
    show();
  }, 16);
}

function letGo(event) {
  if (!held) return;
  const was = isCarrying;
  if (was) {
    swallowing = true;
    // A quick hand lets go farther on than its last move was told.
    at = { x: event.clientX, y: event.clientY };
    show();
  }
  forget();
  // The click that follows comes before this timer, if it comes at all.
  if (was) setTimeout(() => (swallowing = false), 50);
  if (was) putDown();
}

function giveUp() {
  const was = isCarrying;
  forget();
  if (was) leave();
}

function forget() {
  clearTimeout(held?.resting);
  clearTimeout(held?.opening);
  clearInterval(running);
  held = null;
  isCarrying = false;
}

let swallowing = false;

function swallow(event) {
  if (!swallowing) return;
  event.preventDefault();
  event.stopPropagation();
  swallowing = false;
}

document.addEventListener("keydown", (event) => {
  if (event.key === "Escape" && isCarrying) giveUp();
});
