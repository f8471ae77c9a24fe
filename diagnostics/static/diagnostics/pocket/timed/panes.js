// What the timed look shows before the clock runs and after it has stopped.

import { clockWords } from "./words.js";

export function make(tag, { text, ...given } = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(given)) {
    if (typeof value === "function") made.addEventListener(name, value);
    else if (value !== false && value !== null) made.setAttribute(name, value === true ? "" : value);
  }
  if (text !== undefined) made.textContent = text;
  made.append(...children.filter(Boolean));
  return made;
}

export function button(text, click, look = "") {
  return make("button", { type: "button", class: `button ${look}`.trim(), text, click });
}

export function cautionsPane(say, cautions, onRead) {
  const list = make("ul", {}, ...cautions.map((text) => make("li", { text })));
  const box = make("div", { class: "caution" }, make("h2", { text: say("cautions") }), list);
  return make("div", { class: "pane" }, box, button(say("cautions_read"), onRead, "first"));
}

export function readyPane(say, turnS, askedTurns, onStart) {
  const told = turnS
    ? say("turn_takes", {
        seconds: Math.round(turnS),
        turns: askedTurns,
        minutes: ((askedTurns * turnS) / 60).toFixed(1),
      })
    : say("verdict_unknown");
  return make("div", { class: "pane" }, make("p", { text: told }), button(say("start"), onStart, "first"));
}

// A look that was left: gone on with, ended where it was left, or thrown away.
export function foundPane(say, draft, awayS, { onGoOn, onEnd, onThrowAway }) {
  const at = clockWords(draft.endedS ?? draft.elapsedS);
  const gap = draft.endedS === null && awayS > 2;
  return make(
    "div",
    { class: "pane" },
    make("p", { class: "told", text: say("found", { at, taps: draft.taps.length }) }),
    gap && make("p", { text: say("found_gap", { gap: clockWords(awayS) }) }),
    button(say("go_on"), onGoOn, "first"),
    button(say("keep_as_left"), onEnd, "quiet large"),
    throwAway(say, draft.taps.length, onThrowAway),
  );
}

export function endedPane(say, { taps, durationS, turns, note }, { onNote, onKeep, onGoOn, onThrowAway }) {
  const at = clockWords(durationS);
  const told =
    turns === null
      ? say("ended_plain", { at, taps })
      : say("ended", { at, taps, turns: turns.toFixed(1) });
  const field = make("input", { id: "timed-note", maxlength: 400, autocomplete: "off" });
  field.value = note;
  field.addEventListener("input", () => onNote(field.value));
  return make(
    "div",
    { class: "pane" },
    make("p", { class: "told", text: told }),
    make("div", { class: "field" }, make("label", { for: "timed-note", text: say("note") }), field),
    make("p", { class: "trouble", role: "alert" }),
    button(say("keep"), onKeep, "first"),
    button(say("go_on"), onGoOn, "quiet large"),
    throwAway(say, taps, onThrowAway),
  );
}

// Asked twice: a thumb in a glove finds the wrong key easily, and the taps cannot be had again.
function throwAway(say, taps, onYes) {
  const place = make("div", { class: "throw-away" });
  const ask = () => {
    const no = button(say("no"), offer, "quiet large");
    place.replaceChildren(
      make("p", { class: "amber", role: "alert", text: say("throw_away_sure", { taps }) }),
      button(say("throw_away_yes"), onYes, "large"),
      no,
    );
    no.focus();
  };
  const offer = () => place.replaceChildren(button(say("throw_away"), ask, "quiet large"));
  offer();
  return place;
}
