// What was kept last, with its way back.

import { button, make } from "../elements.js";
import { again, go } from "../going.js";
import { hand } from "../hand.js";
import { count } from "../looking.js";
import { named } from "../route.js";
import { circumstances, lookWords, say } from "../words.js";

function lastLook() {
  const { state, last } = hand;
  const mine = state.looks.filter((one) => one.walk === state.walk?.id);
  return mine.find((one) => one.id === last) ?? mine.filter((one) => !one.is_taken_back).at(-1);
}

export function keptLine() {
  const look = lastLook();
  // The line keeps its room, so that the keys below stay where the thumb knows them.
  if (!look) return make("div", { class: "kept" }, make("p", { class: "muted" }, say("long_press_mm")));
  const { kit, state } = hand;
  const what = `${look.station} ${lookWords(look, kit.conveyor, state.walk.facing)}`;
  const words = look.is_taken_back ? say("taken_back", { what }) : say("kept", { what });
  return make(
    "div",
    { class: "kept" },
    make("p", {}, words, isBeyond(look) && make("span", { class: "amber" }, ` ${say("beyond")}`)),
    look.is_taken_back
      ? button(say("count_again"), () => put(look, true))
      : button(say("undo"), () => undo(look)),
  );
}

// Back to where the look was made: it is wanted again, only right this time.
async function undo(look) {
  if (!(await count(look, false))) return;
  const place = named(hand.kit, look.station);
  await (place ? go(`#/${place.path}`) : again());
}

async function put(look, counts) {
  if (await count(look, counts)) await again();
}

export function isBeyond(look) {
  return Math.abs(look.offset_mm ?? 0) > hand.kit.conveyor.clearance_mm;
}

// A look in a list, in the convention of the record.
export function lookEntry(look) {
  const { kit, state } = hand;
  const press = () => put(look, look.is_taken_back);
  const name = say(look.is_taken_back ? "count_again" : "take_back");
  return make(
    "li",
    { class: look.is_taken_back ? "look is-taken-back" : "look" },
    make(
      "span",
      {},
      make("strong", {}, look.station),
      " ",
      make("span", { class: "measured" }, lookWords(look, kit.conveyor)),
      make("span", { class: "muted" }, ` ${circumstances(look)}${look.note ? ` · ${look.note}` : ""}`),
      isBeyond(look) && make("span", { class: "amber" }, ` ${say("beyond")}`),
      look.waits && make("span", { class: "muted" }, ` · ${say("on_this_phone")}`),
    ),
    look.is_mine && state.walk?.id === look.walk &&
      button([name, make("span", { class: "unseen" }, ` ${look.station}`)], press),
  );
}
