// Places along the belt: the stops of the route, named stations, and any loop position.
// A place is {station, run, position_m, kind, kind_words, stop, path}; `stop` is null off the route,
// `path` is its part of the screen's address.

// A place this near to a named station is called by its name. [m]
const SAME_M = 0.3;
const NAMES_OFFERED = 4;

const same = (one, other) => one.toLowerCase() === other.toLowerCase();

export function atStop(kit, number) {
  const stop = kit.stops.find((one) => one.number === number);
  return stop ? { ...stop, stop, path: `at/${stop.number}` } : null;
}

export function atPlace(kit, station, run, position_m) {
  const stop = kit.stops.find((one) => same(one.station, station));
  if (stop) return atStop(kit, stop.number);
  const path = `place/${run}/${position_m}/${encodeURIComponent(station)}`;
  return { station, run, position_m, kind: "", kind_words: "", stop: null, path };
}

// The place that the rest of a screen's address names; null when it names none.
export function placeFrom(kit, [how, ...rest]) {
  if (how === "at") return atStop(kit, Number(rest[0]));
  if (how !== "place" || !["carrying", "return"].includes(rest[0])) return null;
  const position_m = Number(rest[1]);
  return Number.isFinite(position_m) && rest[2] ? atPlace(kit, rest[2], rest[0], position_m) : null;
}

export function named(kit, name) {
  const found = kit.stations.find(([station]) => same(station, name.trim()));
  return found ? atPlace(kit, ...found) : null;
}

export function namesLike(kit, name) {
  const wanted = name.trim().toLowerCase();
  const far = (station) => {
    const known = station.toLowerCase();
    if (known.includes(wanted) || wanted.includes(known)) return 0;
    const letters = [...wanted].filter((letter) => known.includes(letter)).length;
    return 1 - letters / Math.max(wanted.length, known.length);
  };
  return kit.stations
    .map(([station]) => [far(station), station])
    .filter(([distance]) => distance < 0.6)
    .sort(([one], [other]) => one - other)
    .slice(0, NAMES_OFFERED)
    .map(([, station]) => station);
}

// By loop position; null off the loop.
export function byPosition(kit, position_m) {
  const { length_m, head_m } = kit.conveyor;
  if (!(position_m >= 0 && position_m < length_m)) return null;
  const apart = ([, , other]) => {
    const way = Math.abs(other - position_m);
    return Math.min(way, length_m - way);
  };
  const near = kit.stations.reduce((best, one) => (apart(one) < apart(best) ? one : best));
  if (apart(near) <= SAME_M) return atPlace(kit, ...near);
  const run = position_m <= head_m ? "carrying" : "return";
  return atPlace(kit, `${position_m.toFixed(1)} m`, run, position_m);
}

export const stands = (look) => !look.is_taken_back;

// Standing looks of one walk at one station.
export function looksOf(state, walk, station) {
  return state.looks.filter(
    (one) => one.walk === walk && stands(one) && (!station || same(one.station, station)),
  );
}

export function isOpen(state, walk, stop) {
  return !looksOf(state, walk.id, stop.station).some((one) => one.load === walk.load);
}

// The first stop behind `after` that was not looked at in this load state, then any left behind.
export function nextOpen(kit, state, walk, after = 0) {
  const open = kit.stops.filter((stop) => stop.number !== after && isOpen(state, walk, stop));
  return open.find((stop) => stop.number > after) ?? null;
}

// The last stop that comes before a place off the route.
export function numberBefore(kit, place) {
  if (place.stop) return place.stop.number;
  const passed = kit.stops.slice(1).filter((one) => one.position_m <= place.position_m);
  return passed.at(-1)?.number ?? Math.min(kit.stops.length, 1);
}

// Looks of other people at the same station, load and direction that this phone knows of.
export function beside(state, look) {
  return state.looks
    .filter(
      (one) =>
        !one.is_mine &&
        stands(one) &&
        same(one.station, look.station) &&
        one.load === look.load &&
        one.is_running_backwards === look.is_running_backwards,
    )
    .map((one) => one.id);
}
