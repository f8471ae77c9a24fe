// The ranking on the telephone: evidence in, classes and places out, as the site's engine gives them.

import { weigherOf, weighed } from "./causes.js";
import { featuresOf, onsetOf } from "./features.js";
import { logSum } from "./matrix.js";
import { nextLooks } from "./next.js";
import { entriesOf, total } from "./places.js";
import { usable } from "./readings.js";
import { isSufficient } from "./sufficient.js";

export { openTable } from "./table.js";

const MOST_PLACES = 12;

/**
 * @param table     of `openTable`
 * @param evidence  {log_priors, travel, remarks, findings, sightings}; for the next looks also
 *                  `load`, the state in which the belt runs now, and `from_m`, where the person is
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
  const entries = standings
    .flatMap((one) => entriesOf(table, one))
    .sort((one, other) => other.probability - one.probability);
  const onset = onsetOf(table, known.sightings);
  return {
    classes,
    places: entries.slice(0, MOST_PLACES),
    isSufficient: classes.length > 0 && isSufficient(table, known, classes),
    next: nextLooks({ table, evidence: known, profile: weigher.profile, standings, entries, onset }),
  };
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
  for (const one of found) {
    const share = one.weight - whole - one.log;
    one.probability = one.logs.map((log) => Math.exp(share + log));
  }
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
  for (const { cause, probability } of standings) {
    shares.set(cause.class, (shares.get(cause.class) ?? 0) + total(probability));
  }
  return [...shares].sort((one, other) => other[1] - one[1] || (one[0] < other[0] ? -1 : 1));
}
