// Whether what was seen, said and timed supports an answer.

import { allCentred, BELT, isOff, isTooShort, offsetOf, saysErratic } from "./features.js";

const MAY_MOVE = ["comes-and-goes", "no-pattern"];

/** @param {Array<[string, number]>} classes  with their probabilities */
export function isSufficient(table, evidence, classes) {
  return (
    enoughSeen(table, evidence) &&
    !contradicts(table, evidence.sightings) &&
    !lacksTimedLook(table, evidence.travel, classes) &&
    Math.max(...classes.map(([, share]) => share)) >= table.constants.sufficient.least_first
  );
}

function enoughSeen(table, evidence) {
  const seen = evidence.sightings.filter((one) => !one.is_running_backwards);
  const stations = new Set(seen.map((one) => one.position_m)).size;
  return (
    stations >= table.constants.sufficient.fewest_stations &&
    !allCentred(table, evidence.sightings) &&
    !saysErratic(table, evidence)
  );
}

/** Off to both sides at one station in one load state, not said to come and go. */
function contradicts(table, sightings) {
  const sides = new Map();
  for (const one of sightings) {
    const moves = one.is_running_backwards || MAY_MOVE.includes(one.persistence);
    if (moves || !isOff(table, one)) continue;
    const key = JSON.stringify([one.station, one.run, one.load]);
    const side = offsetOf(table, one) > 0;
    if (sides.has(key) && sides.get(key) !== side) return true;
    sides.set(key, side);
  }
  return false;
}

function lacksTimedLook(table, travel, classes) {
  const { least_first: first, least_belt: least } = table.constants.sufficient;
  const belt = classes.reduce((sum, [name, share]) => sum + (BELT.includes(name) ? share : 0), 0);
  if (!travel) return belt >= first;
  if (isTooShort(table, travel) && belt >= least) return true;
  return belt >= first && (travel.belt_position_m ?? null) === null;
}
