// Each tap's place within the turn: rows that lie under each other show what comes round.

import { part } from "./numbers.js";

export function foldOf(taps, turnS) {
  return taps.map(([atS, event]) => ({
    turn: Math.floor(atS / turnS) + 1,
    share: part(atS / turnS, 1),
    event,
  }));
}

// Part of the turn, since the look began, at which the splice passes; null when none was tapped.
export function spliceShare(taps, fit, turnS) {
  if (fit) {
    const mean = (values) => values.reduce((sum, one) => sum + one, 0) / values.length;
    return part((mean(fit.passes) - mean(fit.numbers) * turnS) / turnS, 1);
  }
  const first = taps.find(([, event]) => event === "splice");
  return first ? part(first[0] / turnS, 1) : null;
}
