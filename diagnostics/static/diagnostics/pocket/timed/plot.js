// The fold as it fills in: one row for each turn, the place within the turn along the row. What
// comes round stands under itself. Every event has a mark of its own, the same as on its key.

const SVG = "http://www.w3.org/2000/svg";
const WIDTH = 320;
const LEFT = 26;
const RIGHT = 8;
const TOP = 8;
const ROW = 22;
// Older rows go: under so many they would be too thin to read.
const MOST_ROWS = 6;
const SIZE = 7;
const SHAPES = {
  left: `M${SIZE} ${-SIZE}V${SIZE}L${-SIZE} 0Z`,
  right: `M${-SIZE} ${-SIZE}V${SIZE}L${SIZE} 0Z`,
  back: "M-4 0A4 4 0 1 0 4 0A4 4 0 1 0 -4 0Z",
  splice: "M-5 9L1 -9M-1 9L5 -9",
};

export function element(name, given = {}, ...children) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(given)) made.setAttribute(key, value);
  made.append(...children);
  return made;
}

// The small drawing of a mark, for its key.
export function markOf(kind) {
  const shape = element("path", { d: SHAPES[kind], class: `mark-${kind}` });
  return element("svg", { viewBox: "-12 -12 24 24", "aria-hidden": "true", class: "mark-drawing" }, shape);
}

// svg is drawn anew; seen turns an event into left, right, back or splice as the person sees it.
export function drawFold(svg, read, seen) {
  const turn = Math.floor(read.turns) + 1;
  const first = Math.max(turn - MOST_ROWS + 1, 1);
  const rows = Math.max(turn - first + 1, 3);
  const height = TOP + rows * ROW + 4;
  svg.setAttribute("viewBox", `0 0 ${WIDTH} ${height}`);
  svg.replaceChildren(...band(read, height));
  for (let row = 0; row < rows; row += 1) svg.append(...rowOf(first + row, row, first + row > turn));
  for (const one of read.fold) {
    if (one.turn < first) continue;
    const kind = seen(one.event);
    const at = `translate(${xOf(one.share).toFixed(1)} ${yOf(one.turn - first)})`;
    svg.append(element("path", { d: SHAPES[kind], class: `mark-${kind}`, transform: at }));
  }
  svg.append(element("path", { class: "now" }));
  moveNow(svg, read.turns, first);
}

// Only the hand moves between the taps.
export function moveNow(svg, turns, first = Math.max(Math.floor(turns) + 1 - MOST_ROWS + 1, 1)) {
  const hand = svg.querySelector(".now");
  const row = Math.floor(turns) + 1 - first;
  const x = xOf(turns % 1).toFixed(1);
  hand?.setAttribute("d", `M${x} ${yOf(row) - ROW / 2}V${yOf(row) + ROW / 2}`);
}

const xOf = (share) => LEFT + share * (WIDTH - LEFT - RIGHT);
const yOf = (row) => TOP + (row + 0.5) * ROW;

function rowOf(turn, row, isToCome) {
  const number = element("text", { x: LEFT - 8, y: yOf(row) + 4, class: isToCome ? "to-come" : "" });
  number.textContent = String(turn);
  const line = element("path", {
    d: `M${xOf(0)} ${yOf(row)}H${xOf(1)}`,
    class: isToCome ? "row to-come" : "row",
  });
  return [line, number];
}

// Where in the turn it comes, as soon as that is likelier than not.
function band(read, height) {
  if (!(read.logRatio > 0) || read.atShare === null) return [];
  const width = 0.06 * (WIDTH - LEFT - RIGHT);
  const x = xOf(read.atShare) - width / 2;
  return [element("rect", { x, y: TOP, width, height: height - TOP - 4, class: "comes-here" })];
}

// The same in words, for those who do not see it.
export function foldInWords(read, seen, say, eventWords) {
  if (read.fold.length === 0 || read.turns === null) return say("plot_none");
  const turns = new Map();
  for (const one of read.fold) {
    const event = eventWords(seen(one.event));
    const words = say("plot_event", { event, share: Math.round(100 * one.share) });
    turns.set(one.turn, [...(turns.get(one.turn) ?? []), words]);
  }
  const rows = [...turns].map(([turn, events]) => say("plot_turn", { turn, events: events.join(", ") }));
  return [say("plot"), ...rows].join(" ");
}
