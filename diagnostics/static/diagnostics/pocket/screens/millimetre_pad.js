// Millimetres to one side, on keys for a thumb in a glove; figures of a keyboard work too.

import { button, link, make, row } from "../elements.js";
import { hand, tell } from "../hand.js";
import { keepLook } from "../looking.js";
import { placeFrom } from "../route.js";
import { say, seenSide } from "../words.js";

// No belt of the register is wider. [mm]
const MOST_MM = 4000;

export function millimetrePad([side, ...rest]) {
  const place = placeFrom(hand.kit, rest);
  if (!place || !["left", "right"].includes(side)) return [make("h1", {}, say("no_such_station"))];
  const { kit, state } = hand;
  const { both } = seenSide(side, state.walk.facing, kit.conveyor);
  const shown = make("output", { class: "figure pad-figure", "aria-live": "polite" });
  let digits = "";
  const type = (text) => {
    if (Number(text) <= MOST_MM) digits = text.replace(/^0+(?=\d)/, "");
    shown.textContent = `${digits || "0"}\u00a0mm`;
  };
  const done = () => {
    if (digits) return keepLook(place, { offset_mm: Number(digits), side });
    tell(say("type_a_figure"));
    return null;
  };
  type("");
  const pad = make(
    "div",
    { class: "number-pad", role: "group", "aria-label": say("figures") },
    "123456789".split("").map((one) => button(one, () => type(digits + one))),
    button("⌫", () => type(digits.slice(0, -1)), { "aria-label": say("erase") }),
    button("0", () => type(`${digits}0`)),
    button(say("keep"), done, { class: "button" }),
  );
  const screen = make("div", { class: "millimetres" }, shown, pad);
  screen.addEventListener("keydown", (event) => typed(event, type, digits));
  return [
    make("p", { class: "dateline" }, say("millimetres")),
    make("h1", {}, `${place.station}: ${both}`),
    screen,
    row(link(say("back"), `#/${place.path}`)),
  ];

  function typed(event) {
    if (/^\d$/.test(event.key)) type(digits + event.key);
    else if (event.key === "Backspace") type(digits.slice(0, -1));
  }
}
