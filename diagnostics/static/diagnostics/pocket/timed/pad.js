// The pad while the clock runs: the fold, the verdict, four keys that a glove finds without looking.

import { drawFold, element, foldInWords, markOf, moveNow } from "./plot.js";
import { make } from "./panes.js";
import { clockWords, verdictWords } from "./words.js";

const OTHER = { left: "right", right: "left" };

// Left and right are those of the person; facing the tail they are the other ones of the register.
export function eventOf(kind, facing) {
  if (!(kind in OTHER)) return kind;
  return `over-${facing === "tail" ? OTHER[kind] : kind}`;
}

export function kindOf(event, facing) {
  const side = event.replace("over-", "");
  if (!(side in OTHER)) return event;
  return facing === "tail" ? OTHER[side] : side;
}

export function makePad(say, conveyor, facing, { onTap, onUndo, onEnd }) {
  const clock = make("span", { class: "figure time", text: "0:00.0" });
  const turns = make("span", { class: "figure count", text: "0.0" });
  const turnsLine = make("span", {}, turns, ` ${say("turns")}`);
  const svg = element("svg", { class: "fold", role: "img" });
  const caption = make("p", { class: "caption", "aria-hidden": "true", text: say("plot") });
  const verdict = make("p", { class: "verdict", "aria-live": "polite" });
  const last = make("p", { class: "last-tap", "aria-live": "polite" });
  const keys = ["left", "right", "back", "splice"].map((kind) => {
    const own = kind in OTHER ? ownWords(say, conveyor, facing, kind) : "";
    return keyFor(kind, eventWords(say, kind), own, onTap);
  });
  const undo = make("button", { type: "button", class: "button quiet", text: say("undo"), click: onUndo });
  const end = make("button", { type: "button", class: "button", text: say("end"), click: onEnd });
  const clockLine = make("p", { class: "clock", role: "timer", "aria-live": "off" }, clock, turnsLine);
  const keyField = make("div", { class: "keys" }, ...keys, undo, end);
  const pad = make(
    "div",
    { class: "pad" },
    clockLine,
    caption,
    svg,
    make("div", { class: "told-now" }, verdict, last),
    keyField,
  );
  return {
    pad,
    tick(elapsedS, turnS) {
      clock.textContent = clockWords(elapsedS);
      turnsLine.hidden = !turnS;
      if (!turnS) return;
      turns.textContent = (elapsedS / turnS).toFixed(1);
      moveNow(svg, elapsedS / turnS);
    },
    show(read) {
      const seen = (event) => kindOf(event, facing);
      svg.toggleAttribute("hidden", read.turns === null);
      caption.hidden = read.turns === null;
      if (read.turns !== null) drawFold(svg, read, seen);
      svg.setAttribute("aria-label", foldInWords(read, seen, say, (kind) => eventWords(say, kind)));
      tell(verdict, verdictWords(say, read));
      verdict.dataset.kind = read.verdict.kind;
    },
    say: (text) => tell(last, text),
    // What stays to be looked at once the clock has stopped.
    end() {
      for (const one of [clockLine, keyField, last]) one.remove();
    },
  };
}

export function eventWords(say, kind) {
  return say(kind in OTHER ? `over_${kind}` : kind);
}

// The conveyor's own word for the side; without one, whoever faces the tail is told the register's.
function ownWords(say, conveyor, facing, kind) {
  const side = facing === "tail" ? OTHER[kind] : kind;
  return conveyor[`${side}_words`] || (facing === "tail" ? say(`${side}_in_travel`) : "");
}

function keyFor(kind, text, own, onTap) {
  // The moment counts at which the thumb comes down; that it was meant, only when it goes up.
  let pressedS = null;
  return make(
    "button",
    {
      type: "button",
      class: `button key ${kind}`,
      pointerdown: () => (pressedS = onTap.now()),
      pointercancel: () => (pressedS = null),
      contextmenu: (event) => event.preventDefault(),
      click: (event) => {
        // No detail: it was a keyboard's.
        onTap.done(kind, event.detail > 0 && pressedS !== null ? pressedS : onTap.now());
        pressedS = null;
      },
    },
    markOf(kind),
    make("span", {}, text, own && make("span", { class: "own", text: own })),
  );
}

// Said again only when it changed: ears are not told the same every few seconds.
function tell(place, text) {
  if (place.textContent !== text) place.textContent = text;
}
