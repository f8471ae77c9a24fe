// How long the belt takes once round: from the register, from passes of the splice, from the taps.
// What is not known is carried along as a row of candidates with weights. The figures and their
// reasons are those of the server's `watching/turning.py`; a test holds the two together.

import { line, logSum, meanOf, rounded, sumOf } from "./numbers.js";

export const TIME_UNCERTAINTY = 0.025;
const PASS_ERROR_S = 0.5;
// Passes that fit one another are believed up to this far from the register.
const BELIEVED = 0.25;
const MOST_CANDIDATES = 401;
const TRIED_ERRORS = 3.5;

// A straight line through the passes over the number of the turn; null where there is none.
export function fitSplices(passesS, registerS) {
  const sorted = [...new Set(passesS)].sort((one, other) => one - other);
  // A pass tapped twice in a moment is one.
  const passes = sorted.filter((at, index) => index === 0 || at - sorted[index - 1] > registerS / 4);
  if (passes.length < 2) return null;
  let turnS = registerS;
  let numbers = [];
  for (let round = 0; round < 3; round += 1) {
    numbers = [0];
    for (let index = 1; index < passes.length; index += 1) {
      // One may have been missed: then more than one turn lies between two passes.
      const turns = Math.max(rounded((passes[index] - passes[index - 1]) / turnS), 1);
      numbers.push(numbers[index - 1] + turns);
    }
    turnS = line(numbers, passes).rise;
  }
  const { at, spread } = line(numbers, passes);
  const off = passes.map((pass, index) => pass - at - turnS * numbers[index]);
  const farthest = Math.max(...off.map(Math.abs));
  if (Math.abs(turnS / registerS - 1) > BELIEVED || farthest > 0.1 * turnS) return null;
  const free = passes.length - 2;
  const scatter = free > 0 ? Math.sqrt(sumOf(off.map((one) => one * one)) / free) : 0;
  const passErrorS = Math.max(PASS_ERROR_S, scatter);
  return { turnS, errorS: passErrorS / spread, passes, numbers, passErrorS };
}

// The revolution times worth trying, with their weights and a pass of the splice for each.
export function candidates(registerS, passesS, watchedS, resolutionS, uncertainty) {
  const fit = fitSplices(passesS, registerS);
  let [low, high] = [registerS * (1 - uncertainty), registerS * (1 + uncertainty)];
  if (fit) {
    const reach = TRIED_ERRORS * fit.errorS;
    const near = [Math.max(low, fit.turnS - reach), Math.min(high, fit.turnS + reach)];
    // Where register and splice cannot both be right, the splice was seen.
    [low, high] = near[0] < near[1] ? near : [fit.turnS - reach, fit.turnS + reach];
  }
  const wanted = ((high - low) * (watchedS / registerS)) / resolutionS;
  const count = Math.min(Math.max(2 * Math.ceil(wanted / 2) + 1, 11), MOST_CANDIDATES);
  const seconds = Array.from({ length: count }, (_, n) => low + ((high - low) * n) / (count - 1));
  const raw = seconds.map((one) => (fit ? -0.5 * ((one - fit.turnS) / fit.errorS) ** 2 : 0));
  const whole = logSum(raw);
  const logPrior = raw.map((one) => one - whole);
  const middleS = sumOf(seconds.map((one, index) => one * Math.exp(logPrior[index])));
  return { seconds, logPrior, middleS, fit, ...spliceOf(fit, passesS, seconds) };
}

function spliceOf(fit, passesS, seconds) {
  if (fit) {
    const [middle, number] = [meanOf(fit.passes), meanOf(fit.numbers)];
    const spliceErrorS = fit.passErrorS / Math.sqrt(fit.passes.length);
    return { spliceS: seconds.map((one) => middle - number * one), spliceErrorS };
  }
  if (passesS.length === 0) return { spliceS: null, spliceErrorS: 0 };
  // One pass, or passes that do not fit: the first is believed.
  return { spliceS: seconds.map(() => Math.min(...passesS)), spliceErrorS: PASS_ERROR_S };
}

// The middle of the weighted candidates. [s]
export function turnTime(turns, weights) {
  const { seconds } = turns;
  const step = seconds[1] - seconds[0];
  let before = 0;
  for (let index = 0; index < seconds.length; index += 1) {
    const after = before + weights[index];
    if (after >= 0.5) {
      const within = after > before ? (0.5 - before) / (after - before) : 0;
      return seconds[index] - step / 2 + within * step;
    }
    before = after;
  }
  return seconds.at(-1) + step / 2;
}
