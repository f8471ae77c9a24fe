// Millimetres or inches to one side, on keys for a thumb in a glove; figures of a keyboard work too.
// The record is in millimetres, whatever the tape measure has.

import { button, link, make, row } from "../elements.js";
import { hand, tell } from "../hand.js";
import { keepLook } from "../looking.js";
import { placeFrom } from "../route.js";
import { words } from "../store.js";
import { millimetres, say, seenSide } from "../words.js";

// No belt of the register is wider. [mm]
const MOST_MM = 4000;
const MM_PER_INCH = 25.4;
const STORED = "unit of offsets";
// Tenths of a millimetre and hundredths of an inch are finer than anybody reads off.
const FIGURES = { mm: /^\d{0,4}$/, inch: /^\d{0,3}(\.\d{0,2})?$/ };

export async function millimetrePad([side, ...rest]) {
  const place = placeFrom(hand.kit, rest);
  if (!place || !["left", "right"].includes(side)) return [make("h1", {}, say("no_such_station"))];
  const { kit, state } = hand;
  const { both } = seenSide(side, state.walk.facing, kit.conveyor);
  let unit = (await words.get(STORED)) === "inch" ? "inch" : "mm";
  let figures = "";

  const shown = make("output", { class: "figure pad-figure", "aria-live": "polite" });
  const other = button("", turnUnit);
  const point = button(say("decimal_sign"), () => add("."), { "aria-label": say("decimal_point") });
  const sizeMm = () => (unit === "mm" ? Number(figures) : Math.round(Number(figures) * MM_PER_INCH * 10) / 10);

  function show() {
    const written = figures.replace(".", say("decimal_sign")) || "0";
    const inMm = unit === "inch" && make("span", { class: "muted" }, ` = ${millimetres(sizeMm())}`);
    shown.replaceChildren(`${written}\u00a0${say(unit)}`, ...(inMm ? [inMm] : []));
    other.textContent = say(unit === "mm" ? "in_inches" : "in_millimetres");
    point.disabled = unit === "mm";
  }

  function type(text) {
    const before = figures;
    figures = text.replace(/^0+(?=\d)/, "").replace(/^\./, "0.");
    if (!FIGURES[unit].test(figures) || sizeMm() > MOST_MM) figures = before;
    show();
  }

  const add = (text) => type(figures + text);
  const erase = () => type(figures.slice(0, -1));

  // Another unit is another figure: nothing typed is carried over.
  async function turnUnit() {
    unit = unit === "mm" ? "inch" : "mm";
    type("");
    await words.put(STORED, unit).catch(() => {});
  }

  function done() {
    if (Number.isFinite(Number(figures)) && figures) return keepLook(place, { offset_mm: sizeMm(), side });
    tell(say("type_a_figure"));
    return null;
  }

  function typed({ key }) {
    if (/^\d$/.test(key)) add(key);
    else if (key === "." || key === ",") add(".");
    else if (key === "Backspace") erase();
  }

  show();
  const pad = make(
    "div",
    { class: "number-pad", role: "group", "aria-label": say("figures") },
    "123456789".split("").map((one) => button(one, () => add(one))),
    point,
    button("0", () => add("0")),
    button("⌫", erase, { "aria-label": say("erase") }),
    button(say("keep"), done, { class: "button keep" }),
  );
  const screen = make("div", { class: "millimetres" }, make("div", { class: "pad-top" }, other, shown), pad);
  screen.addEventListener("keydown", typed);
  return [
    make("p", { class: "dateline" }, say("off_centre")),
    make("h1", {}, `${place.station}: ${both}`),
    screen,
    row(link(say("back"), `#/${place.path}`)),
  ];
}
