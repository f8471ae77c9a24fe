// What the screens say. The words come with the shell page, in the reader's language.

const read = (id) => JSON.parse(document.getElementById(id).textContent);
const words = read("pocket-words");
const language = document.documentElement.lang || "en";
const tenths = new Intl.NumberFormat(language, { minimumFractionDigits: 1, maximumFractionDigits: 1 });
const whole = new Intl.NumberFormat(language, { maximumFractionDigits: 0 });
// A figure and its unit stay on one line.
const UNIT_SPACE = "\u00a0";

// The timed look has its own.
export const timedWords = read("pocket-timed-words");

export function say(key, values = {}) {
  if (!(key in words)) throw new Error(`there are no words for ${key}`);
  return words[key].replace(/%\((\w+)\)s/g, (_found, name) => values[name] ?? "");
}

// Why a case did not come.
export function notFetched(reason, number) {
  return reason === "not-allowed" ? say("role_may_not_walk") : say("not_fetched", { number });
}

export function metres(position_m) {
  return `${tenths.format(position_m)}${UNIT_SPACE}m`;
}

export function millimetres(size_mm) {
  return `${whole.format(size_mm)}${UNIT_SPACE}mm`;
}

export function percent(share) {
  if (share > 0 && share < 0.01) return say("under_one_percent");
  return `${whole.format(share * 100)}${UNIT_SPACE}%`;
}

// An instant in the plant's own zone: 2026-11-02 14:30.
export function plantTime(instant, zone) {
  const format = new Intl.DateTimeFormat("sv-SE", {
    dateStyle: "short",
    timeStyle: "short",
    timeZone: zone,
  });
  return format.format(new Date(instant));
}

export const opposite = (side) => (side === "left" ? "right" : "left");

// The register's side for what a person sees, and the other way round: its own inverse. Only one
// who faces the tail sees it turned, whichever run it is and whichever way the belt runs.
export function turned(side, facing) {
  return facing === "tail" ? opposite(side) : side;
}

// The conveyor's own word for a side of the register.
export function ownWord(side, conveyor) {
  return (side === "left" ? conveyor.left_words : conveyor.right_words) || "";
}

// `right (sea side)`, a side of the register.
export function sideWords(side, conveyor) {
  const own = ownWord(side, conveyor);
  return own ? `${say(side)} (${own})` : say(side);
}

// `left (sea side)` as the person sees it, who may face the tail.
export function seenSide(side, facing, conveyor) {
  const register = turned(side, facing);
  const own = ownWord(register, conveyor) || (facing === "tail" ? say(`${register}_in_travel`) : "");
  return { word: say(side), own, both: own ? `${say(side)} (${own})` : say(side) };
}

const DEGREES = { centred: "centred", slight: "a_little", half: "half", "hard-over": "hard_over" };

export const degreeWords = (degree) => say(DEGREES[degree]);

// A look in the convention of the record, for lists: `half right (sea side)`.
export function lookWords(look, conveyor, facing = "head") {
  if (look.not_seen_reason) return say("not_reachable_because", { why: look.not_seen_reason });
  const side = look.side || (look.offset_mm > 0 ? "right" : "left");
  const shown = seenSide(turned(side, facing), facing, conveyor).both;
  if (look.offset_mm !== null && look.offset_mm !== undefined) {
    const size = millimetres(Math.abs(look.offset_mm));
    return Math.round(look.offset_mm) === 0 ? size : `${size} ${shown}`;
  }
  if (look.degree === "centred") return degreeWords("centred");
  return `${degreeWords(look.degree)} ${shown}`;
}

const PERSISTENCES = {
  "": "not_watched",
  steady: "steady",
  "comes-and-goes": "comes_and_goes",
  "no-pattern": "no_pattern",
};

export const persistences = () => Object.entries(PERSISTENCES).map(([value, key]) => [value, say(key)]);

// `loaded, steady, running backwards`: what else is known of a look.
export function circumstances(look) {
  const said = [say(look.load)];
  if (look.persistence) said.push(say(PERSISTENCES[look.persistence]));
  if (look.is_running_backwards) said.push(say("running_backwards"));
  return said.join(", ");
}
