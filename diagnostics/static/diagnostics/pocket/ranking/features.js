// Sightings as numbers, what a walker calls off centre, and the words of the rules that hold for
// what was seen, said and timed.

import { apart, wrapped } from "./table.js";

// Offsets are compared at a thousandth of a millimetre, whatever binary fractions make of them.
const HAIR_MM = 1e-3;
// A look that could not tell anything stands for none at all. [mm2]
const TELLS_NOTHING_MM2 = 1e12;

/** Signed offset: the reading, or the middle of the noted degree. [mm] */
export function offsetOf(table, sighting) {
  if (sighting.offset_mm !== null && sighting.offset_mm !== undefined) return sighting.offset_mm;
  const sign = sighting.side === "right" ? 1 : sighting.side === "left" ? -1 : 0;
  const { middle } = table.constants.readings;
  return sign * middle[sighting.degree ?? "centred"] * table.clearance_mm;
}

export function isOff(table, sighting) {
  const least = table.constants.readings.centred_share * table.clearance_mm;
  return Math.abs(offsetOf(table, sighting)) >= least - HAIR_MM;
}

/** Sightings that say where the belt ran: on the loop, and seen at all. */
export function usable(table, sightings) {
  return sightings.filter(
    (one) =>
      one.position_m >= 0 &&
      one.position_m < table.length_m &&
      (Number.isFinite(one.offset_mm) || Boolean(one.degree)),
  );
}

/** What the profile is fitted to: sightings of the belt running with carrying travel. */
export function readingsOf(table, sightings) {
  const kept = inOrder(
    sightings.filter((one) => !one.is_running_backwards),
    (one) => [
      one.position_m,
      one.station,
      one.load,
      offsetOf(table, one),
      one.persistence ?? "",
    ],
  );
  if (!kept.length) {
    return { sightings: [], places: [], offsets: [0], rounding: [TELLS_NOTHING_MM2], count: 1 };
  }
  return {
    sightings: kept,
    places: kept.map((one) => ({ position: one.position_m, load: one.load })),
    offsets: kept.map((one) => offsetOf(table, one)),
    rounding: kept.map((one) => rounding(table, one)),
    count: kept.length,
  };
}

/** Sorted by keys of several parts each. */
export function inOrder(values, keyOf) {
  const keyed = values.map((one) => [keyOf(one), one]);
  return keyed.sort((one, other) => compared(one[0], other[0])).map((one) => one[1]);
}

function compared(one, other) {
  for (let at = 0; at < one.length; at += 1) {
    if (one[at] < other[at]) return -1;
    if (one[at] > other[at]) return 1;
  }
  return 0;
}

/** Variance within the noted degree, taken as even. [mm2] */
function rounding(table, sighting) {
  if (Number.isFinite(sighting.offset_mm)) return 0;
  const width = table.constants.readings.width[sighting.degree ?? "centred"];
  return (width * table.clearance_mm) ** 2 / 12;
}

// The classes that travel with the belt.
export const BELT = ["belt_splice", "belt_section"];
const LOADS = ["loaded", "empty"];

/** @returns {Object<string, Set<string>>} by feature of the rules */
export function featuresOf(table, evidence) {
  const load = loadWords(table, evidence.sightings);
  return {
    onset: new Set(onsetWords(table, evidence.sightings)),
    pattern: patternWords(table, evidence, load),
    load,
    travel: new Set(travelWords(table, evidence.travel)),
    direction: new Set(directionWords(table, evidence.sightings)),
    remarks: new Set(evidence.remarks),
  };
}

function wordsOf(table) {
  return table.constants.features.words;
}

/** Where the stretch with the largest peak begins; loaded readings decide before empty ones. */
export function onsetOf(table, sightings) {
  const forward = sightings.filter((one) => !one.is_running_backwards);
  for (const load of LOADS) {
    const found = stretches(table, forward.filter((one) => one.load === load));
    if (found.length) {
      return found.reduce((best, one) => (one.peak > best.peak ? one : best)).first;
    }
  }
  return null;
}

/** Stretches off centre, each from a reading that follows a centred one. */
function stretches(table, sightings) {
  const ordered = inOrder(sightings, (one) => [one.position_m, one.station]);
  const off = ordered.map((one) => isOff(table, one));
  const count = ordered.length;
  const found = [];
  for (let index = 0; index < count; index += 1) {
    // The reading before the first is the last: the loop is closed.
    if (!off[index] || off[(index + count - 1) % count]) continue;
    let peak = 0;
    for (let at = index; off[at % count]; at += 1) {
      peak = Math.max(peak, Math.abs(offsetOf(table, ordered[at % count])));
    }
    found.push({ first: ordered[index], peak });
  }
  return found;
}

function onsetWords(table, sightings) {
  const seen = sightings.filter((one) => !one.is_running_backwards);
  const onset = onsetOf(table, seen);
  const words = wordsOf(table).onset;
  if (onset) {
    const along = table.onsets[onset.run];
    return (along.find(([last]) => onset.position_m <= last) ?? along[along.length - 1])[1];
  }
  if (!seen.length) return [];
  return [seen.every((one) => isOff(table, one)) ? words.EVERYWHERE : words.NOWHERE];
}

/** How the two load states compare; none when neither stands off. */
function loadWords(table, sightings) {
  const words = wordsOf(table).load;
  const forward = sightings.filter((one) => !one.is_running_backwards);
  const ordered = inOrder(forward, (one) => [one.position_m]);
  const [loaded, empty] = LOADS.map((load) => ordered.filter((one) => one.load === load));
  if (!loaded.length) return new Set(empty.length ? [words.NO_LOADED] : []);
  if (!empty.length) return new Set([words.NO_EMPTY]);
  const [offLoaded, offEmpty] = [loaded, empty].map((one) => standsOff(table, one));
  if (offLoaded && offEmpty) return new Set([words.BOTH]);
  if (offLoaded) return new Set([words.ONLY_LOADED]);
  return new Set(offEmpty ? [words.ONLY_EMPTY] : []);
}

/** One reading well over, or two neighbours off to the same side: no slip of the eye. */
function standsOff(table, sightings) {
  const offsets = sightings.map((one) => offsetOf(table, one));
  const surely = table.constants.features.surely_off_share * table.clearance_mm;
  if (offsets.some((one) => Math.abs(one) >= surely)) return true;
  const off = sightings.map((one, at) => (isOff(table, one) ? offsets[at] : 0));
  return off.some((one, at) => at > 0 && one * off[at - 1] > 0);
}

export function saysErratic(table, evidence) {
  return (
    evidence.remarks.includes(wordsOf(table).remarks.ERRATIC) ||
    mostly(table, evidence.sightings, "no-pattern")
  );
}

/** More than half of so many or more remarked off-centre sightings say so. */
function mostly(table, sightings, persistence, least = 2) {
  const said = sightings.filter((one) => one.persistence && isOff(table, one));
  const saying = said.filter((one) => one.persistence === persistence);
  return said.length >= least && 2 * saying.length > said.length;
}

export function allCentred(table, sightings) {
  return sightings.length > 0 && !sightings.some((one) => isOff(table, one));
}

function patternWords(table, evidence, load) {
  const { decides, words } = table.constants.features;
  const { sightings, travel } = evidence;
  const found = new Set();
  if (allCentred(table, sightings)) found.add("centred");
  if (evidence.remarks.includes(words.remarks.STARTS_AND_STOPS)) found.add("start-stop");
  if (saysErratic(table, evidence)) found.add("erratic");
  const timed = travel ? travel.log_ratio : 0;
  const comesAndGoes = timed > -decides && mostly(table, sightings, "comes-and-goes");
  if (timed >= decides || comesAndGoes) found.add("travelling");
  if (load.has(words.load.ONLY_LOADED)) found.add("load-dependent");
  // One steady sighting is the plain case; coming and going asks for a second one.
  const steady = mostly(table, sightings, "steady", 1) && timed < decides;
  if (!found.size && (steady || timed <= -decides)) found.add("fixed");
  return found;
}

export function isTooShort(table, travel) {
  return travel.passes < table.constants.travelling.least_passes;
}

export function spreadOf(table, travel) {
  return travel.spread_m ?? table.constants.travelling.spread_m;
}

/** Shortest way along the belt between two places on it. [m] */
export function belted(table, one, other) {
  const length = table.constants.travelling.belt_length_m;
  const way = wrapped(one - other, length);
  return Math.min(way, length - way);
}

function travelWords(table, travel) {
  const words = wordsOf(table).travel;
  if (!travel || isTooShort(table, travel)) return [words.NOT_TIMED];
  if (travel.log_ratio <= 0) return [];
  const at = travel.belt_position_m;
  if (at === null || at === undefined) return [words.NOT_TIMED];
  const near = Math.max(table.constants.features.at_splice_m, 2 * spreadOf(table, travel));
  const nearest = Math.min(...table.splices.map((splice) => belted(table, at, splice)));
  return [nearest <= near ? words.WITH_SPLICE : words.NOT_WITH_SPLICE];
}

/** Readings of a reversing belt at one place, both ways, each off centre. */
function directionWords(table, sightings) {
  const words = wordsOf(table).direction;
  const reach = table.constants.features.same_place_m;
  const off = sightings.filter((one) => isOff(table, one));
  let same = 0;
  for (const one of off.filter((sighting) => sighting.is_running_backwards)) {
    for (const other of off.filter((sighting) => !sighting.is_running_backwards)) {
      if (one.load !== other.load) continue;
      if (apart(table, one.position_m, other.position_m) > reach) continue;
      same += offsetOf(table, one) * offsetOf(table, other) > 0 ? 1 : -1;
    }
  }
  if (!same) return [];
  return [same > 0 ? words.SAME_SIDE : words.OTHER_SIDE];
}
