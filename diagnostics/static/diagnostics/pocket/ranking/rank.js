// The ranking on the telephone: evidence in, classes and places out, as the site's engine gives
// them. Neighbouring idlers cannot be told apart by what they do to the belt and are one entry.

import { familyOf, weighed, weigherOf } from "./causes.js";
import {
  allCentred,
  BELT,
  featuresOf,
  inOrder,
  isOff,
  isTooShort,
  offsetOf,
  onsetOf,
  saysErratic,
  usable,
} from "./features.js";
import { logSum } from "./matrix.js";
import { nextLooks } from "./next.js";

export { openTable } from "./table.js";

const MOST_PLACES = 12;
// Said of what may be off to both sides.
const MAY_MOVE = ["comes-and-goes", "no-pattern"];

/**
 * @param evidence  {log_priors, travel, remarks, findings, sightings}; for the next looks also
 *   `load`, in which the belt runs now, and `from_m`, where the person is
 * @returns {{classes: Array<[string, number]>, places: Array, isSufficient: boolean, next: Array}}
 */
export function rank(table, evidence) {
  const known = {
    ...evidence,
    travel: evidence.travel ?? null,
    remarks: evidence.remarks ?? [],
    findings: evidence.findings ?? [],
    sightings: usable(table, evidence.sightings ?? []),
  };
  const weigher = weigherOf(table, known);
  const standings = standingsOf(table, known, weigher);
  const classes = classesOf(standings);
  const shared = new Map();
  const place = new Map(classes.map(([name], number) => [name, number]));
  const entries = inOrder(
    standings.flatMap((one) => entriesOf(table, one, shared)),
    (one) => [-one.probability, place.get(one.class), one.cause, one.position_m ?? 0],
  );
  const onset = travels(table, known, classes) ? null : onsetOf(table, known.sightings);
  return {
    classes,
    places: entries.slice(0, MOST_PLACES),
    isSufficient: classes.length > 0 && isSufficient(table, known, classes),
    next: nextLooks({ table, evidence: known, standings, entries, onset, ...weigher }),
  };
}

/** A defect that travels is off wherever it passes: it has no onset. */
function travels(table, evidence, classes) {
  const { STARTS_AND_STOPS: starts } = table.constants.features.words.remarks;
  const isPlainer = evidence.remarks.includes(starts) || saysErratic(table, evidence);
  return BELT.includes(classes[0]?.[0]) && !isPlainer;
}

/** Base rates x what was seen x the rules, for every cause at every place. */
function standingsOf(table, evidence, weigher) {
  const told = rulesSay(table, featuresOf(table, evidence));
  const found = [];
  table.causes.forEach((cause, number) => {
    const prior = evidence.log_priors[cause.slug];
    if (!Number.isFinite(prior)) return;
    const own = weighed(weigher, cause);
    found.push({ ...own, weight: prior + own.log + told[number] });
  });
  const whole = logSum(found.map((one) => one.weight));
  for (const one of found) one.share = Math.exp(one.weight - whole);
  return found;
}

/** What all rules that hold add to each cause. */
function rulesSay(table, features) {
  const told = new Float64Array(table.causes.length);
  for (const { when, speaks } of table.rules) {
    const holds = Object.entries(when).every(([feature, words]) =>
      words.some((word) => features[feature].has(word)),
    );
    if (holds) for (const [cause, log] of speaks) told[cause] += log;
  }
  return told;
}

/** Largest first. */
function classesOf(standings) {
  const shares = new Map();
  for (const { cause, share } of standings) {
    shares.set(cause.class, (shares.get(cause.class) ?? 0) + share);
  }
  return inOrder([...shares], ([name, share]) => [-share, name]);
}

/** Entries of one cause; those of causes that share their places are found once. */
function entriesOf(table, standing, shared) {
  const { cause, places, within, share } = standing;
  if (!shared.has(within)) {
    shared.set(within, places ? grouped(table, places, within) : alongBelt(table, cause, within));
  }
  return shared.get(within).map((one) => ({
    class: cause.class,
    cause: cause.slug,
    ...one,
    probability: share * one.probability,
  }));
}

function alongBelt(table, cause, within) {
  return Array.from(within, (probability, at) => ({
    component: (cause.at_splice && table.splice_names[at]) || null,
    position_m: null,
    probability,
  }));
}

function grouped(table, places, within) {
  const spots = places.map((candidate, at) => {
    const family = familyOf(table, candidate);
    const place = candidate - family.start;
    const roll = family.middle?.[place];
    return { family, at: family.at[place], roll, probability: within[at] };
  });
  const runsOn = ["group", "bow"].includes(spots[0].family.is);
  const groups = runsOn ? clusters(table, spots) : byComponent(table, spots);
  return groups.map((members) => {
    const middle = median(members);
    return {
      component: nameOf(table, middle) || null,
      position_m: middle.at,
      probability: total(members.map((one) => one.probability)),
    };
  });
}

/** What lies within reach of the likeliest place left is one with it. */
function clusters(table, spots) {
  const left = inOrder(spots, (one) => [-one.probability]);
  const taken = new Set();
  const found = [];
  for (const top of left) {
    if (taken.has(top)) continue;
    const reach = table.constants.reach_m;
    const members = spots.filter((one) => !taken.has(one) && Math.abs(one.at - top.at) <= reach);
    members.forEach((one) => taken.add(one));
    found.push(members);
  }
  return found;
}

function byComponent(table, spots) {
  const found = new Map();
  for (const one of spots) {
    const name = nameOf(table, one);
    found.set(name, [...(found.get(name) ?? []), one]);
  }
  return [...found.values()];
}

function nameOf(table, { family, roll }) {
  return roll === undefined ? family.component : table.rolls.nameOf(roll);
}

/** The place at the middle of the probability. */
function median(members) {
  const ordered = inOrder(members, (one) => [one.at]);
  const half = total(ordered.map((one) => one.probability)) / 2;
  let sum = 0;
  for (const one of ordered) {
    sum += one.probability;
    if (sum >= half) return one;
  }
  return ordered[ordered.length - 1];
}

function total(values) {
  let sum = 0;
  for (const one of values) sum += one;
  return sum;
}

/** Whether what was seen, said and timed supports an answer. */
function isSufficient(table, evidence, classes) {
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
