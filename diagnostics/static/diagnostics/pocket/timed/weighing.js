// Does the belt move over at the same moment of each turn, or now and then? If something travels,
// ways over are a steady few by chance and one at nearly every pass of the place; if nothing does,
// only those by chance. The figures and their reasons are those of the server's
// `watching/tapping.py`; a test holds the two together.

import { logSum, logSumOfTwo, part, rounded } from "./numbers.js";

// A tap comes this much before or after what it means. [s]
const TAP_ERROR_S = 0.6;
const MIDDLE_SHARE = 0.15;
// Where the way back was missed the visit is taken to have lasted so long. [s]
const USUAL_VISIT_S = 4;
// What may be blurred over a whole watch of taps. [s]
export const RESOLUTION_S = 1;
// [visits by chance in one watch, weight], [chance that a pass of the place is tapped, weight].
const BY_CHANCE = [[0.4, 0.4], [1.2, 0.4], [4, 0.2]];
const CAUGHT = [[0, 0.2], [0.6, 0.2], [0.9, 0.6]];
const MOST_MOMENTS = 600;
const MOST_VISITS = 100;
// So many spreads away a visit says nothing any more: the phone need not look there.
const FAR_SPREADS = 7;
const OVER = { "over-left": "left", "over-right": "right" };

// Ways over and back; only the tap itself where the way back was missed.
export function visitsOf(taps, turnS) {
  const moves = taps.filter(([, event]) => event !== "splice");
  const found = [];
  moves.forEach(([atS, event], index) => {
    const side = OVER[event];
    if (!side) return;
    const [nextS, next] = moves[index + 1] ?? [];
    // What lasts half a turn is no visit.
    if (next === "back" && nextS - atS < turnS / 2) {
      found.push({ atS: (atS + nextS) / 2, lastedS: nextS - atS, side });
    } else {
      found.push({ atS, lastedS: null, side });
    }
  });
  return found.slice(0, MOST_VISITS);
}

// Likelihood ratio of the visits, and where in the turn they point.
export function weighVisits(visits, turns, watchedS) {
  const count = Math.min(Math.max(rounded(turns.middleS / TAP_ERROR_S), 60), MOST_MOMENTS);
  if (visits.length === 0) return nothingTapped(turns, watchedS, count);
  const rows = { left: [], right: [] };
  const whole = { left: [], right: [] };
  const frame = { watchedS, count, visits: visits.length, middleS: turns.middleS };
  for (const side of ["left", "right"]) {
    const mine = visits.filter((one) => one.side === side);
    turns.seconds.forEach((turnS, index) => {
      const prior = turns.logPrior[index] - Math.log(count);
      const logs = rowOf(mine, turnS, frame).map((one) => one + prior);
      rows[side].push(logs);
      whole[side].push(logSum(logs));
    });
  }
  const both = rows.left.map((logs, row) => {
    const others = rows.right[row];
    return logs.map((one, moment) => logSumOfTwo(one, others[moment]));
  });
  const total = logSum(both.map(logSum));
  const weights = both.map((logs) => logs.map((one) => Math.exp(one - total)));
  return {
    logRatio: total - Math.log(2),
    weights,
    side: logSum(whole.right) > logSum(whole.left) ? "right" : "left",
  };
}

function nothingTapped(turns, watchedS, count) {
  const passes = watchedS / turns.middleS;
  const mean = CAUGHT.reduce((sum, [chance, weight]) => sum + weight * Math.exp(-chance * passes), 0);
  const weights = turns.logPrior.map((log) => new Float64Array(count).fill(Math.exp(log) / count));
  return { logRatio: Math.log(mean), weights, side: null };
}

// Log likelihood ratio of "travels, to this side" at each moment of one revolution time.
function rowOf(visits, turnS, { watchedS, count, visits: all, middleS }) {
  const passes = watchedS / middleS;
  const stepS = middleS / count;
  const chances = BY_CHANCE.map(([rho, weight]) => Math.log(weight) - rho + all * Math.log(rho));
  const terms = CAUGHT.flatMap(([caught, weight]) =>
    chances.map((chance, index) => ({
      base: Math.log(weight) + chance - caught * passes,
      factor: (2 * caught * watchedS) / BY_CHANCE[index][0],
      gained: null,
    })),
  );
  const touched = new Uint8Array(count);
  for (const term of terms) if (term.factor > 0) term.gained = new Float64Array(count);
  for (const visit of visits) add(visit, spreadS(visit, stepS), turnS, terms, touched);
  const under = logSum(chances);
  const empty = logSum(terms.map((one) => one.base)) - under;
  const logs = new Float64Array(count).fill(empty);
  const sums = new Float64Array(terms.length);
  for (let moment = 0; moment < count; moment += 1) {
    if (!touched[moment]) continue;
    for (let index = 0; index < sums.length; index += 1) {
      const { base, gained } = terms[index];
      sums[index] = gained ? base + gained[moment] : base;
    }
    logs[moment] = logSum(sums) - under;
  }
  return logs;
}

// What one visit adds at the moments near it, taken round the turn.
function add(visit, spread, turnS, terms, touched) {
  const count = touched.length;
  const within = part(visit.atS, turnS);
  const middle = Math.floor((within / turnS) * count);
  const reach = Math.min(Math.ceil((FAR_SPREADS * spread * count) / turnS) + 1, count >> 1);
  const last = middle + Math.min(reach, count - 1 - reach);
  for (let slot = middle - reach; slot <= last; slot += 1) {
    const moment = part(slot, count);
    const atS = (turnS * (moment + 0.5)) / count;
    const apart = part(within - atS + turnS / 2, turnS) - turnS / 2;
    const bell = Math.exp(-0.5 * (apart / spread) ** 2) / (spread * Math.sqrt(2 * Math.PI));
    touched[moment] = 1;
    for (const term of terms) if (term.gained) term.gained[moment] += Math.log1p(term.factor * bell);
  }
}

function spreadS(visit, stepS) {
  const own = visit.lastedS === null ? USUAL_VISIT_S / 2 : MIDDLE_SHARE * visit.lastedS;
  return Math.hypot(TAP_ERROR_S, own, stepS / 2);
}
