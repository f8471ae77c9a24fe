// What the taps so far say about a defect of the belt, in the figures the ranking weighs: the same
// as the server's `read_timed_look`, whose `watching/weighed.py` has the reasons for the constants.

import { median, part } from "./numbers.js";
import { foldOf, spliceShare } from "./fold.js";
import { placed } from "./placing.js";
import { candidates, fitSplices, TIME_UNCERTAINTY, turnTime } from "./turning.js";
import { RESOLUTION_S, visitsOf, weighVisits } from "./weighing.js";

// Fewer turns of the belt say nothing; three are the minimum that is asked for.
export const LEAST_PASSES = 2;
export const ASKED_PASSES = 3;
// The register may be wrong by more than it should: so far it is searched without the splice.
const FAR_UNCERTAINTY = 0.15;
const FAR_HANDICAP = Math.log(10);
// One watch is never surer than this, whatever the figures say.
const RATIO_RANGE = [-4, 7];
const MOST_TURNS = 60;
const POSITION_SPREAD_M = 1.8;
// All looks of a case together say no more than this either way.
const TOGETHER_RANGE = [-6, 12];

const within = (value, [low, high]) => Math.min(Math.max(value, low), high);

// taps: [[seconds, event]...] in order of time, sides as in the register; null without a revolution
// time. Weighs only: `readTaps` of verdict.js adds what the person is told. `isNearOnly` leaves out
// the search far from the register, which takes the longest.
export function weighTaps(taps, watchedS, belt, { isNearOnly = false } = {}) {
  const lengthM = belt.beltLengthM;
  const registerS = lengthM / Math.abs(belt.speedMps);
  if (!(registerS > 0 && Number.isFinite(registerS))) return null;
  const passesS = taps.filter(([, event]) => event === "splice").map(([atS]) => atS);
  const fit = fitSplices(passesS, registerS);
  const usualS = fit?.turnS ?? registerS;
  const passes = watchedS / usualS;
  if (!(passes >= LEAST_PASSES)) {
    return said({ passes, turnS: untoldS(registerS, passesS), logRatio: 0 }, taps, null);
  }
  const watch = { ...belt, taps, registerS, passesS, watchedS: Math.min(watchedS, MOST_TURNS * usualS) };
  let found = weigh(watch, TIME_UNCERTAINTY, 0);
  if (!fit && passes >= ASKED_PASSES && !isNearOnly) {
    const far = weigh(watch, FAR_UNCERTAINTY, FAR_HANDICAP);
    if (far.logRatio > Math.max(found.logRatio, 0)) found = { ...far, isFar: true };
  }
  found.logRatio = within(found.logRatio, RATIO_RANGE);
  return said({ ...found, passes: watchedS / found.turnS }, taps, fit);
}

// The revolution time of a look too short to fold: what the splice says, else the register. [s]
function untoldS(registerS, passesS) {
  const turns = candidates(registerS, passesS, registerS, registerS / 100, TIME_UNCERTAINTY);
  return turnTime(turns, turns.logPrior.map(Math.exp));
}

function weigh(watch, uncertainty, handicap) {
  const { registerS, passesS, watchedS, speedMps, beltLengthM, isRunningBackwards } = watch;
  const turns = candidates(registerS, passesS, watchedS, RESOLUTION_S, uncertainty);
  const visits = visitsOf(watch.taps, turns.middleS);
  const { logRatio, weights, side } = weighVisits(visits, turns, watchedS);
  const turnS = turnTime(turns, weights.map((row) => row.reduce((sum, one) => sum + one, 0)));
  const found = { logRatio: logRatio - handicap, turnS };
  if (side) found.atShare = likeliest(weights, turns) / turnS;
  if (found.logRatio <= 0) return found;
  found.side = side;
  if (!turns.spliceS) return found;
  const lasted = visits.map((one) => one.lastedS).filter((one) => one !== null);
  const speed = Math.abs(speedMps);
  const extentM = lasted.length ? median(lasted) * speed : 0;
  const errorM = turns.spliceErrorS * speed;
  const place = placed(weights, turns, beltLengthM, { errorM, extentM, isRunningBackwards });
  return { ...found, ...place };
}

// The moment of the turn that weighs most. [s]
function likeliest(weights, turns) {
  let [best, atS] = [-1, 0];
  weights.forEach((row, index) => {
    row.forEach((weight, moment) => {
      if (weight > best) [best, atS] = [weight, (turns.seconds[index] * (moment + 0.5)) / row.length];
    });
  });
  return atS;
}

function said(found, taps, fit) {
  const { passes, turnS, logRatio, positionM = null, spreadM = POSITION_SPREAD_M } = found;
  const isTooShort = passes < LEAST_PASSES;
  return {
    turns: passes,
    passes,
    turnS,
    logRatio,
    beltPositionM: positionM,
    spreadM,
    side: found.side ?? null,
    isTooShort,
    isFar: found.isFar === true,
    atShare: found.atShare === undefined ? null : part(found.atShare, 1),
    spliceShare: spliceShare(taps, fit, turnS),
    fold: foldOf(taps, turnS),
    travel: {
      log_ratio: logRatio,
      belt_position_m: positionM,
      spread_m: spreadM,
      side: found.side ?? null,
      is_too_short: isTooShort,
      passes,
    },
  };
}

// What all looks of a case say, each as a `travel`; null when there is none.
export function together(travels) {
  const telling = travels.filter((one) => !one.is_too_short);
  const most = (rows, rank) => rows.reduce((best, one) => (best && rank(best) >= rank(one) ? best : one), null);
  if (telling.length === 0) return most(travels, (one) => one.passes);
  const knowing = telling.filter((one) => one.belt_position_m !== null && one.log_ratio > 0);
  const best = most(knowing.length ? knowing : telling, (one) => Math.abs(one.log_ratio) + one.passes * 1e-9);
  const total = within(telling.reduce((sum, one) => sum + one.log_ratio, 0), TOGETHER_RANGE);
  return {
    ...best,
    passes: telling.reduce((sum, one) => sum + one.passes, 0),
    log_ratio: total,
    belt_position_m: total > 0 ? best.belt_position_m : null,
    side: total > 0 ? best.side : null,
  };
}
