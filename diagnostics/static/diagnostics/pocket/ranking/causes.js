// What the evidence says of every cause at each of its places.

import { belted, readingsOf, spreadOf } from "./features.js";
import { logSum } from "./matrix.js";
import { moving, saidOf } from "./moving.js";
import { erratic, fitsOf, profileOf } from "./profile.js";
import { placeNamed } from "./table.js";

const HERE_M = 1e-6;
// Idlers are told to within this by the table. [m]
const TOLD_M = 5e-3;

/** The readings of one case, fitted once, asked for every cause. */
export function weigherOf(table, evidence) {
  const readings = readingsOf(table, evidence.sightings);
  const seen = new Set(readings.places.map((one) => one.load));
  const loads = seen.size ? table.loadNames.filter((load) => seen.has(load)) : ["empty"];
  const profile = profileOf(table, readings);
  const said = saidOf(table, readings);
  return {
    table,
    evidence,
    profile,
    fits: fitsOf(profile, loads),
    // Many causes share their places: skewed, dropped or worn, it is the same idlers.
    shared: new Map(),
    fixed: said.fixed,
    erratic: erratic(profile) + said.erratic,
    moving: {
      splice: moving(profile, "splice", loads),
      camber: moving(profile, "camber", loads),
    },
  };
}

/**
 * @returns {{cause, places: ?Array, log: number, within: Float64Array}} `places` are numbers of
 *   candidates, null for what travels or acts along the whole belt; `log` is the likelihood of
 *   everything, `within` the share of each place in it
 */
export function weighed(weigher, cause) {
  const found = "is_long" in cause ? travelling(weigher, cause) : shared(weigher, cause);
  return { cause, places: found.places, ...withFindings(weigher, cause, found) };
}

/** Splices for the splice class, the timed place for any other. */
function travelling({ table, evidence, moving: log }, cause) {
  const { travel } = evidence;
  const seen = (cause.is_long ? log.camber : log.splice) + (travel ? travel.log_ratio : 0);
  if (!cause.at_splice) return { places: null, logs: [seen] };
  const timed = travel?.belt_position_m;
  const even = seen - Math.log(table.splices.length);
  if (timed === null || timed === undefined) {
    return { places: null, logs: table.splices.map(() => even) };
  }
  // Density of the timed place under each splice, against evenly anywhere on the belt.
  const { elsewhere, belt_length_m: length } = table.constants.travelling;
  const spread = spreadOf(table, travel);
  const logs = table.splices.map((splice) => {
    const bell = Math.exp(-0.5 * (belted(table, splice, timed) / spread) ** 2);
    const dense = (bell / (spread * Math.sqrt(2 * Math.PI))) * length;
    return even + Math.log((1 - elsewhere) * dense + elsewhere);
  });
  return { places: null, logs };
}

function shared(weigher, cause) {
  const key = JSON.stringify([cause.families, cause.kinds]);
  if (!weigher.shared.has(key)) weigher.shared.set(key, placed(weigher, cause));
  return weigher.shared.get(key);
}

function placed(weigher, cause) {
  const { table, fits } = weigher;
  const picked = cause.families.flatMap((name) =>
    table.families
      .filter((family) => family.name === name)
      .map((family) => ({ family, numbers: wanted(table, cause, family) }))
      .filter(({ numbers }) => numbers.length),
  );
  if (!picked.length) return { places: null, logs: [weigher.erratic] };
  // Families share the cause's weight by their own, whatever their number of places.
  const whole = Math.log(picked.reduce((sum, { family }) => sum + family.weight, 0));
  const places = [];
  const logs = [];
  for (const { family, numbers } of picked) {
    // Plausible sizes favour some places of the family; among these they weigh 1 on average.
    const usual = logSum(numbers.map((one) => fits.plausible[one])) - Math.log(numbers.length);
    const share = Math.log(family.weight / numbers.length) - whole;
    for (const one of numbers) {
      places.push(one);
      logs.push(fits.likelihood[one] - usual + share + weigher.fixed);
    }
  }
  return { places, logs };
}

/** Numbers of a family's candidates that stand at a component of the cause's kinds. */
function wanted(table, cause, family) {
  const every = Array.from({ length: family.count }, (_, one) => family.start + one);
  if (!family.name.startsWith("idlers ")) return every;
  const { kind } = table.rolls;
  return every.filter((one) => cause.kinds.includes(kind[family.middle[one - family.start]]));
}

/** A close inspection speaks for or against a cause, where it was made. */
function withFindings({ table, evidence }, cause, found) {
  const own = evidence.findings.filter((one) => one.cause === cause.slug);
  if (!own.length) {
    found.summed ??= summed(found.logs);
    return found.summed;
  }
  const logs = Float64Array.from(found.logs);
  for (const one of own) {
    const log = Math.log(table.constants.finding_ratio) * (one.is_present ? 1 : -1);
    const here = one.component && found.places ? placeNamed(table, one.component) : null;
    for (let at = 0; at < logs.length; at += 1) {
      if (here === null || reaches(table, found.places[at], here)) logs[at] += log;
    }
  }
  return summed(logs);
}

function summed(logs) {
  const log = logSum(logs);
  return { log, within: Float64Array.from(logs, (one) => Math.exp(one - log)) };
}

export function familyOf(table, candidate) {
  return table.families.find((one) => candidate < one.start + one.count);
}

function reaches(table, candidate, here) {
  const family = familyOf(table, candidate);
  const near = family.is === "group" || family.is === "stuck" ? TOLD_M : HERE_M;
  const place = candidate - family.start;
  return family.from[place] - near <= here && here <= family.to[place] + near;
}
