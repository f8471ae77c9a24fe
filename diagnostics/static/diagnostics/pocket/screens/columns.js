// The keys of a look: one tap keeps it, a long press opens the millimetres of that side.

import { button, make } from "../elements.js";
import { go } from "../going.js";
import { hand } from "../hand.js";
import { keepLook } from "../looking.js";
import { degreeWords, say, seenSide } from "../words.js";

const LONG_PRESS_MS = 500;
// A thumb that slides farther than this scrolls the page. [px]
const SLIDE_PX = 12;
// A click follows the thumb's lift within this. [ms]
const LIFT_MS = 100;
const BUZZ_MS = 30;
const DEGREES = ["slight", "half", "hard-over"];

export function columns(place) {
  const { kit, state } = hand;
  return make(
    "div",
    { class: "degrees", role: "group", "aria-label": say("one_tap_keeps") },
    button(degreeWords("centred"), () => keepLook(place, { degree: "centred" }), {
      class: "button centred",
    }),
    ["left", "right"].map((side) => column(place, side, seenSide(side, state.walk.facing, kit.conveyor))),
  );
}

function column(place, side, { word, own }) {
  const mm = () => go(`#/mm/${side}/${place.path}`);
  return make(
    "div",
    { class: `column ${side}` },
    make(
      "p",
      { class: "side" },
      side === "left" && make("span", { "aria-hidden": "true" }, "◀ "),
      word,
      side === "right" && make("span", { "aria-hidden": "true" }, " ▶"),
      make("span", { class: "own" }, own || "\u00a0"),
    ),
    DEGREES.map((degree) => key(degree, side, own, place, mm)),
    button([say("mm_or_inches"), unseen(side, own)], mm, { class: "button quiet mm" }),
  );
}

const unseen = (side, own) => make("span", { class: "unseen" }, ` ${say(side)} ${own}`);

function key(degree, side, own, place, mm) {
  const node = button([degreeWords(degree), unseen(side, own)], () => keepLook(place, { degree, side }));
  let timer = null;
  let start = null;
  const stop = () => clearTimeout(timer);
  node.addEventListener("pointerdown", (event) => {
    start = event;
    stop();
    timer = setTimeout(() => {
      swallowLift();
      navigator.vibrate?.(BUZZ_MS);
      mm();
    }, LONG_PRESS_MS);
  });
  node.addEventListener("pointermove", (event) => {
    const slid = Math.hypot(event.clientX - start?.clientX, event.clientY - start?.clientY);
    if (slid > SLIDE_PX) stop();
  });
  for (const end of ["pointerup", "pointercancel", "pointerleave"]) node.addEventListener(end, stop);
  node.addEventListener("contextmenu", (event) => event.preventDefault());
  return node;
}

// The thumb is still down when the millimetres open: lifting it presses nothing there.
function swallowLift() {
  const hear = () => removeEventListener("click", swallow, true);
  const done = () => setTimeout(hear, LIFT_MS);
  function swallow(event) {
    event.preventDefault();
    event.stopImmediatePropagation();
    hear();
  }
  addEventListener("click", swallow, true);
  for (const end of ["pointerup", "pointercancel"]) addEventListener(end, done, { once: true });
}
