// The drawing of the belt: the stretch ahead of a person, or the whole loop, with what was seen.
// What the drawing shows stands beside it in words.

import { BeltPath, shareOf } from "./belt_path.js";
import { draw, make } from "./elements.js";
import { numberBefore, stands } from "./route.js";
import { lookWords, metres, say } from "./words.js";

const WIDTH = 336;
const HEIGHT = 84;
const LOOP_HEIGHT = 168;
const MARGIN = 27;
// A belt at its edge clearance stands this far off the line.
const REACH = 18;
const MOST_SCALE = 2.2;
// Heights of the whole loop may be drawn so many times larger than lengths.
const MOST_RAISED = 3;
const STOPS_AHEAD = 3;
// Looks farther apart than this share of the loop are not joined.
const MOST_BETWEEN = 0.15;
const LETTER_WIDTH = 6.8;

export function stretchAhead(hand, place) {
  const { kit, state } = hand;
  if (!kit.drawing) return null;
  const path = new BeltPath(kit.drawing, kit.conveyor.length_m);
  const number = numberBefore(kit, place);
  const ahead = kit.stops.slice(number, number + STOPS_AHEAD);
  const looks = looksDrawn(state, state.walk.id, state.walk);
  const before = kit.stops[number - (place.stop ? 2 : 1)];
  const window = windowOf(path, place, before, ahead);
  const sheet = sheetOf(path.stretch(window.from_m, window.way_m), HEIGHT, 1);
  const all = path.stretch(0, kit.conveyor.length_m);
  const near = looks.filter((one) => path.ahead(window.from_m, one.position_m) <= window.way_m);
  const taken = all.map((one) => lineBox(sheet(one)));
  const next = ahead.map((one) => one.station).join(", ");
  return make(
    "figure",
    { class: "stretch" },
    draw(
      "svg",
      { viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: "img", "aria-label": say("stretch_ahead", { place: place.station }) },
      line(sheet, all, "belt-far"),
      line(sheet, path.stretch(window.from_m, window.way_m), "belt"),
      ribbon(sheet, path, near, kit.conveyor.clearance_mm),
      arrow(sheet, path, window),
      stopMark(sheet, path, place, true, taken),
      ahead.map((stop) => stopMark(sheet, path, stop, false, taken)),
    ),
    make(
      "figcaption",
      { class: "unseen" },
      make("span", {}, next ? say("ahead", { places: next }) : say("last_stop")),
      near.length > 0 && make("span", {}, ` ${say("seen_on_stretch")} ${inWords(near, kit)}`),
    ),
  );
}

export function wholeLoop(hand, looks) {
  const { kit, state } = hand;
  const path = new BeltPath(kit.drawing, kit.conveyor.length_m);
  const drawn = mostLooked(looks.filter((one) => stands(one)));
  const all = path.stretch(0, kit.conveyor.length_m);
  const sheet = sheetOf(all, LOOP_HEIGHT, MOST_RAISED);
  const taken = all.map((one) => lineBox(sheet(one)));
  const load = drawn[0]?.load ?? state.walk?.load ?? "loaded";
  const pulleys = kit.drawing.marks.filter((one) => /pulley/.test(one.kind));
  return make(
    "figure",
    { class: "stretch whole" },
    draw(
      "svg",
      { viewBox: `0 0 ${WIDTH} ${LOOP_HEIGHT}`, role: "img", "aria-label": say("loop_drawing", { tag: kit.conveyor.tag }) },
      line(sheet, all, "belt"),
      ribbon(sheet, path, drawn, kit.conveyor.clearance_mm),
      pulleys.map((one) => stopMark(sheet, path, { station: one.name, position_m: one.at_m }, false, taken)),
    ),
    make(
      "figcaption",
      {},
      drawn.length > 0 ? say("ribbon_key", { load: say(load) }) : say("nothing_to_draw"),
      make("span", { class: "unseen" }, ` ${loopInWords(drawn, pulleys, kit)}`),
    ),
  );
}

// One load state only: two at a place would draw a zigzag.
function mostLooked(looks) {
  const telling = looks.filter((one) => !one.not_seen_reason && !one.is_running_backwards);
  const loaded = telling.filter((one) => one.load === "loaded");
  const empty = telling.filter((one) => one.load === "empty");
  return loaded.length >= empty.length ? loaded : empty;
}

function looksDrawn(state, walk, { load, is_running_backwards }) {
  return state.looks.filter(
    (one) =>
      one.walk === walk &&
      stands(one) &&
      one.load === load &&
      one.is_running_backwards === is_running_backwards &&
      !one.not_seen_reason,
  );
}

// From the stop before to the third ahead.
function windowOf(path, place, before, ahead) {
  const last = ahead.at(-1) ?? place;
  const least = path.length_m / 20;
  const way = path.ahead(place.position_m, last.position_m) || least;
  const behind = before ? Math.min(path.ahead(before.position_m, place.position_m), way) : least / 2;
  return { from_m: place.position_m - behind, way_m: behind + way };
}

// Puts the spots in the middle of a sheet of WIDTH by `height`.
function sheetOf(spots, height, raised) {
  const xs = spots.map((one) => one.x);
  const ys = spots.map((one) => one.y);
  const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  const tall = (height - 2 * MARGIN) / Math.max(bottom - top, 1);
  const across = Math.min((WIDTH - 2 * MARGIN) / Math.max(right - left, 1), tall, MOST_SCALE);
  const up = Math.min(across * raised, tall);
  const place = ({ x, y, nx, ny }, out = 0) => {
    // Square to the line as it is drawn.
    const [ax, ay] = [nx * up, ny * across];
    const size = Math.hypot(ax, ay) || 1;
    return [
      WIDTH / 2 + (x - (left + right) / 2) * across + (ax / size) * out,
      height / 2 + (y - (top + bottom) / 2) * up + (ay / size) * out,
    ];
  };
  return Object.assign(place, { height });
}

const written = (points) => points.map((one) => one.map((part) => part.toFixed(1)).join(",")).join(" ");

function line(sheet, spots, name) {
  return draw("polyline", { class: name, points: written(spots.map((one) => sheet(one))) });
}

// Dots where it was looked at, and between neighbours the belt's edge of the drawing as a ribbon.
function ribbon(sheet, path, looks, clearance_mm) {
  const seen = looks
    .map((look) => ({ at_m: look.position_m, share: shareOf(look, clearance_mm) }))
    .filter(({ share }) => share !== null)
    .sort((one, other) => one.at_m - other.at_m);
  return [...seen.slice(1).map((one, place) => piece(sheet, path, seen[place], one)), ...seen.map((one) => dot(sheet, path, one))];
}

function piece(sheet, path, from, to) {
  const way_m = to.at_m - from.at_m;
  if (way_m > path.length_m * MOST_BETWEEN) return null;
  const spots = path.stretch(from.at_m, way_m);
  const share = (spot) => from.share + ((to.share - from.share) * spot.way_m) / (way_m || 1);
  const edge = spots.map((one) => sheet(one, share(one) * REACH));
  const belt = spots.map((one) => sheet(one)).reverse();
  return draw("polygon", { class: "ribbon", points: written([...edge, ...belt]) });
}

function dot(sheet, path, { at_m, share }) {
  const spot = path.spot(at_m);
  const [x, y] = sheet(spot, share * REACH);
  const [x0, y0] = sheet(spot);
  const isBeyond = Math.abs(share) > 1;
  return draw(
    "g",
    { class: isBeyond ? "seen beyond" : "seen" },
    draw("line", { x1: x0, y1: y0, x2: x, y2: y }),
    draw("circle", { cx: x, cy: y, r: isBeyond ? 4.5 : 3.5 }),
  );
}

// Which way the walk goes on.
function arrow(sheet, path, { from_m, way_m }) {
  const spot = path.spot(from_m + way_m);
  const [x, y] = sheet(spot);
  const [tx, ty] = [-spot.ny, spot.nx];
  const corner = (along, out) => [x + tx * along + spot.nx * out, y + ty * along + spot.ny * out];
  return draw("polyline", { class: "onward", points: written([corner(10, 5), corner(17, 0), corner(10, -5)]) });
}

function stopMark(sheet, path, { station, position_m }, isHere, taken) {
  const spot = path.spot(position_m);
  const [x, y] = sheet(spot);
  const mark = isHere
    ? draw("rect", { x: x - 6, y: y - 6, width: 12, height: 12 })
    : draw("circle", { cx: x, cy: y, r: 4.5 });
  return draw("g", { class: isHere ? "stop here" : "stop" }, mark, label(station, sheet, spot, taken));
}

// No name is written across the belt.
const lineBox = ([x, y]) => ({ left: x - 2, right: x + 2, top: y - 2, bottom: y + 2 });

// Inside the loop first, for there no look is drawn to the right; left out where there is no room,
// as the words beside the drawing name the stops too.
function label(name, sheet, spot, taken) {
  const half = (name.length * LETTER_WIDTH) / 2;
  const [x0, y0] = sheet(spot);
  const [x1, y1] = sheet(spot, 1);
  const [nx, ny] = [x1 - x0, y1 - y0];
  for (const out of [-18, 18, -32, 32]) {
    const away = out + Math.sign(out) * Math.abs(nx) * Math.max(half - 8, 0);
    const x = Math.min(Math.max(x0 + nx * away, half + 1), WIDTH - half - 1);
    const y = y0 + ny * away;
    const box = { left: x - half - 3, right: x + half + 3, top: y - 7, bottom: y + 7 };
    const isInside = box.top >= 0 && box.bottom <= sheet.height;
    const isFree = isInside && taken.every(
      (one) => box.left > one.right || box.right < one.left || box.top > one.bottom || box.bottom < one.top,
    );
    if (!isFree) continue;
    taken.push(box);
    return draw("text", { x, y: y + 4, "text-anchor": "middle" }, name);
  }
  return null;
}

// Pulleys and looks in the order in which the belt passes them.
function loopInWords(looks, pulleys, kit) {
  const marks = pulleys.map(({ name, at_m }) => ({ at_m, words: `${name}, ${metres(at_m)}` }));
  const seen = looks.map((one) => ({
    at_m: one.position_m,
    words: `${one.station}, ${metres(one.position_m)}: ${lookWords(one, kit.conveyor)}`,
  }));
  const inOrder = [...marks, ...seen].sort((one, other) => one.at_m - other.at_m);
  return say("along_the_loop", { places: inOrder.map((one) => one.words).join("; ") });
}

function inWords(looks, kit) {
  return looks.map((one) => `${one.station}: ${lookWords(one, kit.conveyor)}`).join("; ");
}
