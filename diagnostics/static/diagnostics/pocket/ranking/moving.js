// Defects that travel with the belt: what a walk-down would have caught of them. Each reading
// either caught the defect or did not; readings are taken one after the other, and after each the
// background is brought back to one normal.

import { isOff } from "./features.js";
import { cholesky, dot, logMean, logSum, solveLower } from "./matrix.js";

const MOST_CHANCE = 1 - 1e-9;

/** Log probability of the remarks on persistence when the cause stays in place, or jumps. */
export function saidOf(table, readings) {
  const { said_of_erratic: jumping } = table.constants.travelling;
  let fixed = 0;
  let erratic = 0;
  for (const one of readings.sightings) {
    const usually = saidWithout(table, one);
    fixed += Math.log(usually);
    erratic += Math.log(one.persistence ? jumping[one.persistence] : usually);
  }
  return { fixed, erratic };
}

function saidWithout(table, sighting) {
  const { said_off: off, said_centred: centred } = table.constants.travelling;
  return (isOff(table, sighting) ? off : centred)[sighting.persistence ?? ""];
}

/**
 * Log likelihood of the readings and remarks under a travelling defect, averaged over its size, its
 * side and the length of each look.
 *
 * @param {"splice" | "camber"} name
 */
export function moving(profile, name, loads) {
  const { table, readings, columns, covers } = profile;
  const { peaks_mm: peaks, peak_spread: spread, largest } = table.constants.profile;
  const { chance: chances, usual } = table.constants.travelling;
  const unit = readings.sightings.length ? columns.map((one) => one[name]) : [0];
  const most = Math.max(...loads.map((load) => table.loads[load].most_mm[name]));
  const sizes = peaks.map((peak) => peak / most);
  const weights = sizes.map((size) => -0.5 * (size / usual[name] / largest) ** 4);
  const usually = logMean(weights);
  const logs = [];
  for (const chance of chances[name]) {
    const caught = caughtOf(table, readings, chance);
    sizes.forEach((size, number) => {
      const clearance = table.clearance_mm;
      const offsets = unit.map((one) => Math.max(-clearance, Math.min(clearance, one * size)));
      const passing = { offsets, spread, ...caught };
      const weight = caught.said + weights[number] - usually;
      for (const cover of covers) {
        for (const log of logDensities(passing, readings, cover)) logs.push(log + weight);
      }
    });
  }
  return logMean(logs);
}

/**
 * Chance that each reading caught the defect, given its remark, and the remarks' probability; which
 * hardly caught it, and which may have.
 */
function caughtOf(table, readings, chance) {
  const { said_when_caught: comes, least_chance: least } = table.constants.travelling;
  let said = 0;
  if (!readings.sightings.length) return { chance: [0], said, plain: [0], caught: [] };
  const caught = readings.sightings.map((one) => {
    const usually = saidWithout(table, one);
    let passing = one.persistence === "comes-and-goes" ? comes : (1 - comes) * usually;
    // Off centre and not watched: nothing was said for either.
    if (!one.persistence && isOff(table, one)) passing = usually;
    const all = chance * passing + (1 - chance) * usually;
    said += Math.log(all);
    return (chance * passing) / all;
  });
  const every = Array.from(caught.keys());
  return {
    chance: caught,
    said,
    plain: every.filter((at) => caught[at] < least),
    caught: every.filter((at) => caught[at] >= least),
  };
}

/** Log density of the readings with the defect to the right, and to the left. */
function logDensities(passing, readings, cover) {
  const { plain, caught, chance, offsets } = passing;
  const n = readings.count;
  const size = plain.length;
  const factor = cholesky(plainCover(passing, cover, n), size);
  let determinant = size * Math.log(2 * Math.PI);
  for (let row = 0; row < size; row += 1) determinant += 2 * Math.log(factor[row * size + row]);
  const across = caught.map((one) =>
    solveLower(factor, plain.map((other) => cover[other * n + one]), size),
  );
  return [1, -1].map((sign) => {
    const left = plain.map((at) => sign * readings.offsets[at] - chance[at] * offsets[at]);
    const white = solveLower(factor, left, size);
    const log = -0.5 * (dot(white, white) + determinant);
    if (!caught.length) return log;
    const mean = across.map((one) => dot(one, white));
    const rest = caught.map((one, row) =>
      caught.map((other, column) => cover[one * n + other] - dot(across[row], across[column])),
    );
    return log + filtered(passing, caught, readings.offsets, sign, mean, rest);
  });
}

/** Covariance of the readings that hardly caught anything, lower triangle. */
function plainCover(passing, cover, n) {
  const { plain } = passing;
  const size = plain.length;
  const own = new Float64Array(size * size);
  for (let row = 0; row < size; row += 1) {
    for (let column = 0; column <= row; column += 1) {
      own[row * size + column] = cover[plain[row] * n + plain[column]];
    }
    own[row * size + row] += addedVariance(passing, plain[row]);
  }
  return own;
}

function addedVariance({ chance, offsets, spread }, at) {
  const square = offsets[at] ** 2;
  return chance[at] * (1 - chance[at]) * square + chance[at] * spread ** 2 * square;
}

/** Log density of the readings that may have caught it, one after the other. */
function filtered(passing, index, offsets, sign, mean, cover) {
  let total = 0;
  index.forEach((reading, number) => {
    const chance = Math.min(passing.chance[reading], MOST_CHANCE);
    const variance = cover[number][number];
    const spread = variance + (passing.spread * passing.offsets[reading]) ** 2;
    const missed = sign * offsets[reading] - mean[number];
    const caught = missed - passing.offsets[reading];
    const logMissed = Math.log1p(-chance) - 0.5 * (Math.log(variance) + missed ** 2 / variance);
    const logCaught = Math.log(chance) - 0.5 * (Math.log(spread) + caught ** 2 / spread);
    const both = logSum([logMissed, logCaught]);
    total += both - 0.5 * Math.log(2 * Math.PI);
    const share = Math.exp(logCaught - both);
    // Mean and variance of the background at this reading, given both possibilities.
    const step = (caught * variance) / spread;
    const moved = (1 - share) * missed + share * step;
    const kept =
      share * (variance - variance ** 2 / spread) + share * (1 - share) * (missed - step) ** 2;
    for (let row = number + 1; row < index.length; row += 1) {
      const gain = cover[row][number] / variance;
      mean[row] += gain * moved;
      for (let column = number + 1; column <= row; column += 1) {
        const lost = gain * (cover[column][number] / variance) * (variance - kept);
        cover[row][column] -= lost;
        if (column !== row) cover[column][row] -= lost;
      }
    }
  });
  return total;
}
