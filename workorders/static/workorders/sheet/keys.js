// Carrying by keys: the first arrow picks work up, further ones move it along time and from crew to
// crew, Enter or Space puts it down, Escape leaves it where it was.

import { carryOff, carryTo, inHand, isOverTray, leave, pickUp, putDown, whereWords } from "./carrying.js";
import { besides, firstPlace, SNAP, snapped, timeRunsDown } from "./places.js";
import { say, word } from "./telling.js";

const HOUR = 60;
const ACROSS = { ArrowLeft: -1, ArrowRight: 1 };
const DOWN = { ArrowUp: -1, ArrowDown: 1 };

export function followKeys() {
  document.addEventListener("keydown", press);
  // Work that is carried by keys stays behind when the eye goes elsewhere.
  document.addEventListener("focusout", (event) => {
    if (inHand()?.byKeys && event.target.closest("[data-job]") === inHand().job) leave();
  });
}

function press(event) {
  const job = event.target.closest?.("[data-job]");
  if (!job || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key in ACROSS || event.key in DOWN) return carry(event, job);
  const mine = inHand()?.byKeys && inHand().job === job;
  if (event.key === "Delete" && job.dataset.off) return carryOffByKey(event, job);
  if (!mine) return undefined;
  if (event.key === "Enter" || event.key === " ") {
    event.preventDefault();
    inHand().byKeys = false;
    putDown();
  } else if (event.key === "Escape") {
    event.preventDefault();
    inHand().byKeys = false;
    leave();
  }
  return undefined;
}

function carry(event, job) {
  event.preventDefault();
  if (!take(job)) return;
  const place = isOverTray() ? inHand().from : inHand().place;
  const [time, crew] = timeRunsDown() ? [DOWN, ACROSS] : [ACROSS, DOWN];
  const step = time[event.key];
  const next = !place
    ? firstPlace()
    : step
      ? { lanes: place.lanes, starts: snapped(place.starts + step * (event.shiftKey ? HOUR : SNAP)) }
      : besides(place, crew[event.key], inHand().minutes);
  if (!next) return;
  carryTo(next);
  next.lanes.scrollIntoView({ block: "nearest" });
  say(`${whereWords()}. ${word("keys")}`);
}

function carryOffByKey(event, job) {
  event.preventDefault();
  if (!take(job)) return;
  carryOff();
  say(`${inHand().label}: ${word("tray")}. ${word("keys")}`);
}

// False when something else is in the hand.
function take(job) {
  if (!inHand()) {
    pickUp(job);
    inHand().byKeys = true;
  }
  return inHand().byKeys && inHand().job === job;
}
