// How well each candidate fault explains the offsets along the loop: a template times an unknown
// amplitude, over the background that every belt has.

import { columnAt } from "./influence.js";
import { cholesky, inverse, logMean, logNormal, logSum, solveLower } from "./matrix.js";
import { apart } from "./table.js";

// A template that moves the belt by less at a place moves nothing there. [mm per unit]
const NOTHING_MM = 1e-7;

/** The readings of one case against every background. */
export function profileOf(table, readings) {
  const { backgrounds } = table.constants.profile;
  const { readings_mm: eyes } = table.constants.readings;
  const columns = readings.places.map((one) => columnAt(table, one.position, one.load));
  const rolls = rollsCover(columns, readings.count);
  const covers = [];
  for (const badness of backgrounds) {
    const plain = background(table, readings.places, rolls, badness, readings.count);
    for (const eye of eyes) {
      covers.push(withDiagonal(plain, readings.rounding.map((one) => one + eye ** 2)));
    }
  }
  const factors = covers.map((one) => cholesky(one, readings.count));
  const nothing = factors.map((one) => logNormal(readings.offsets, one, readings.count));
  return { table, readings, columns, rolls, covers, factors, nothing };
}

/** What single rolls move together: sum over the rolls of one degree each. [mm2] */
export function rollsCover(columns, n) {
  const result = new Float64Array(n * n);
  columns.forEach((one, row) => {
    for (let column = 0; column <= row; column += 1) {
      const shared = together(one, columns[column]);
      result[row * n + column] = shared;
      result[column * n + row] = shared;
    }
  });
  return result;
}

export function together(one, other) {
  const first = Math.max(one.first, other.first);
  const last = Math.min(one.last, other.last);
  let sum = 0;
  for (let roll = first; roll < last; roll += 1) sum += one.rolls[roll] * other.rolls[roll];
  return sum;
}

/** Covariance of what no fault explains, without the eye. [mm2] */
export function background(table, places, rolls, badness, n) {
  const { idler_deg: degrees } = table.constants.profile;
  const result = rolls.map((one) => one * (badness * degrees) ** 2);
  places.forEach((one, row) => {
    places.forEach((other, column) => {
      result[row * n + column] += wander(table, one.position, other.position, badness);
    });
  });
  return result;
}

export function wander(table, one, other, badness) {
  const { usual, wander_mm: size, wander_m: reach } = table.constants.profile;
  const grown = Math.max(1, badness / usual) * size;
  return grown ** 2 * Math.exp(-apart(table, one, other) / reach);
}

export function withDiagonal(matrix, added) {
  const n = added.length;
  const result = Float64Array.from(matrix);
  added.forEach((one, row) => {
    result[row * n + row] += one;
  });
  return result;
}

/** Log likelihood of every candidate, and how plausible its sizes are within its family. */
export function fitsOf(profile, loads) {
  const { table } = profile;
  const sizes = sizesOf(table, loads);
  const count = table.candidates;
  const shapes = turned(profile.columns, count, profile.readings.count);
  const matches = profile.factors.map((factor) => matched(profile, shapes, factor));
  const likelihood = new Float64Array(count);
  const logs = new Float64Array(matches.length * sizes.middles.length);
  const spread = table.constants.profile.peak_spread ** 2;
  for (let one = 0; one < count; one += 1) {
    let at = 0;
    for (let number = 0; number < matches.length; number += 1) {
      const weight = matches[number].weight[one];
      const match = matches[number].match[one];
      for (const { middle, share } of sizes.middles) {
        const variance = spread * middle[one] ** 2;
        const gain = 1 + variance * weight;
        const better = (variance * match ** 2 - middle[one] ** 2 * weight) / (2 * gain);
        const side = (middle[one] * match) / gain;
        logs[at] =
          profile.nothing[number] + share[one] + better + logCosh(side) - 0.5 * Math.log(gain);
        at += 1;
      }
    }
    likelihood[one] = logSum(logs) - Math.log(matches.length);
  }
  return { likelihood, plausible: sizes.plausible };
}

/** Templates against the readings, both whitened: squared lengths and products. */
function matched({ table, readings }, shapes, factor) {
  const n = readings.count;
  const whitener = inverse(factor, n);
  const seen = solveLower(factor, readings.offsets, n);
  const weight = new Float64Array(table.candidates);
  const match = new Float64Array(table.candidates);
  for (let one = 0; one < table.candidates; one += 1) {
    const start = one * n;
    let first = 0;
    // Long belts: most faults move nothing at most of the places.
    while (first < n && Math.abs(shapes[start + first]) < NOTHING_MM) first += 1;
    for (let row = first; row < n; row += 1) {
      let white = 0;
      for (let k = first; k <= row; k += 1) white += whitener[row * n + k] * shapes[start + k];
      weight[one] += white * white;
      match[one] += white * seen[row];
    }
  }
  return { weight, match };
}

/** Template by template, as they are asked for. */
function turned(columns, candidates, n) {
  const shapes = new Float64Array(candidates * n);
  columns.forEach((column, row) => {
    for (let one = 0; one < candidates; one += 1) shapes[one * n + row] = column.candidates[one];
  });
  return shapes;
}

/**
 * Amplitudes averaged over, and the logarithm of their shares: a place where it would take an
 * implausible fault weighs less in its family.
 */
function sizesOf(table, loads) {
  const { peaks_mm: wanted, largest, least_peak_mm: least } = table.constants.profile;
  const peaks = mostOf(loads.map((load) => table.peaks[load]));
  const middles = wanted.map((peak) => ({
    middle: peaks.map((own) => peak / Math.max(own, least)),
    share: new Float64Array(peaks.length),
  }));
  const plausible = new Float64Array(peaks.length);
  for (const { start, count, spread } of table.families) {
    const logs = [];
    for (const { middle, share } of middles) {
      for (let one = start; one < start + count; one += 1) {
        share[one] = -0.5 * (middle[one] / spread / largest) ** 4;
        logs.push(share[one]);
      }
    }
    const whole = logSum(logs) - Math.log(count);
    for (let one = start; one < start + count; one += 1) {
      for (const { share } of middles) share[one] -= whole;
      plausible[one] = logSum(middles.map(({ share }) => share[one]));
    }
  }
  return { middles, plausible };
}

function mostOf(arrays) {
  return arrays[0].map((_, at) => Math.max(...arrays.map((one) => one[at])));
}

function logCosh(value) {
  const far = Math.abs(value);
  return far + Math.log1p(Math.exp(-2 * far)) - Math.LN2;
}

/** Log likelihood of a belt that stands anywhere, each reading for itself. */
export function erratic({ table, readings, covers }) {
  const { erratic_mm: usual, erratic_times: times } = table.constants.profile;
  const logs = [];
  for (const time of times) {
    const own = new Array(readings.count).fill((time * usual) ** 2);
    for (const cover of covers) {
      const factor = cholesky(withDiagonal(cover, own), readings.count);
      logs.push(logNormal(readings.offsets, factor, readings.count));
    }
  }
  return logMean(logs);
}
