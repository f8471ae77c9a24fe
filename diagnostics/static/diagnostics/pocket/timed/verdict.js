// Has it been watched long enough? Pure: the same taps and the same clock give the same answer.

import { part } from "./numbers.js";
import { ASKED_PASSES, together, weighTaps } from "./reading.js";

export { together };

// From 3 to 1 on something is said, as on the site's page of a timed look.
export const TELLS = Math.log(3);
// Who has watched so many turns and still cannot tell will see more at another station. Engineering
// judgement.
export const LONG_ENOUGH_TURNS = 8;
// Seconds on either side of the middle of a way over that is only thought of.
const THOUGHT_S = 1;

// What `weighTaps` says, which splice is near, and the verdict {kind, moreTurns, times}; kind is
//   travels  it comes round with the belt
//   fixed    it is fixed in place
//   watch    keep watching; `moreTurns` at most, if it goes on as it does or if nothing more comes
//   open     watched long, and still not told
//   unknown  the register does not say how long a turn takes
// splicesM are the belt positions of the splices, the reference splice at 0.
export function readTaps(taps, watchedS, options) {
  const read = weighTaps(taps, watchedS, options);
  if (!read) return untold(taps);
  const spliceNear = nearestSplice(read.beltPositionM, options);
  return { ...read, spliceNear, verdict: verdictOf(read, taps, watchedS, options) };
}

export function isDecided(read) {
  return read.passes >= ASKED_PASSES && Math.abs(read.logRatio) >= TELLS;
}

function verdictOf(read, taps, watchedS, options) {
  const times = Math.round(Math.exp(Math.abs(read.logRatio)));
  if (isDecided(read)) {
    return { kind: read.logRatio > 0 ? "travels" : "fixed", moreTurns: 0, times };
  }
  if (read.passes >= LONG_ENOUGH_TURNS) return { kind: "open", moreTurns: 0, times };
  return { kind: "watch", moreTurns: moreTurns(read, taps, watchedS, options), times };
}

// Whole turns until it is told, whether the same comes again at each pass or nothing more does.
function moreTurns(read, taps, watchedS, options) {
  const most = Math.max(Math.ceil(LONG_ENOUGH_TURNS - read.passes), 1);
  const least = Math.max(Math.ceil(ASKED_PASSES - read.passes), 1);
  // An outlook, made anew at each tap: the far search is left out unless it was what told.
  const how = { isNearOnly: !read.isFar };
  const isTold = (more, tapsAfter) => {
    const endS = watchedS + more * read.turnS;
    return isDecided(weighTaps([...taps, ...tapsAfter(endS)], endS, options, how));
  };
  const until = (tapsAfter) => {
    for (let more = least; more < most; more += 1) if (isTold(more, tapsAfter)) return more;
    return most;
  };
  return Math.max(until(() => []), until((endS) => comingAgain(read, taps, watchedS, endS)));
}

// The taps there would be if what was seen came at every pass from now on.
function comingAgain(read, taps, watchedS, endS) {
  const last = taps.findLast(([, event]) => event.startsWith("over"));
  if (!last) return [];
  const share = read.atShare ?? part(last[0] / read.turnS, 1);
  const over = read.side ? `over-${read.side}` : last[1];
  const found = [];
  let atS = (Math.floor(watchedS / read.turnS) + share) * read.turnS;
  if (atS < watchedS) atS += read.turnS;
  for (; atS + THOUGHT_S <= endS; atS += read.turnS) {
    found.push([atS - THOUGHT_S, over], [atS + THOUGHT_S, "back"]);
  }
  return found;
}

// The nearest splice; aheadM > 0 when the place lies ahead of it in carrying travel.
function nearestSplice(positionM, { beltLengthM, splicesM }) {
  if (positionM === null) return null;
  const all = splicesM?.length ? splicesM : [0];
  const near = all.map((spliceM) => ({
    spliceM,
    aheadM: part(positionM - spliceM + beltLengthM / 2, beltLengthM) - beltLengthM / 2,
  }));
  return near.reduce((best, one) => (Math.abs(one.aheadM) < Math.abs(best.aheadM) ? one : best));
}

function untold(taps) {
  const names = ["turns", "passes", "turnS", "beltPositionM", "spreadM", "side", "atShare", "spliceShare"];
  return {
    ...Object.fromEntries(names.map((name) => [name, null])),
    logRatio: 0,
    isTooShort: true,
    fold: taps.map(([, event]) => ({ turn: null, share: null, event })),
    travel: null,
    spliceNear: null,
    verdict: { kind: "unknown", moreTurns: null, times: 1 },
  };
}
