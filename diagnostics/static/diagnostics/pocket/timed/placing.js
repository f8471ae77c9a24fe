// Where on the belt something sits that comes round, from weights over moments of the turn. The
// figures are those of the server's `watching/placing.py`; a test holds the two together.

import { part } from "./numbers.js";

// Weight farther from the likeliest place than this share of the belt is another place.
const SAME_PLACE = 0.1;
// How well a belt position is known at best, and what is a point as far as anybody needs. [m]
const LEAST_SPREAD_M = 1;
const POINT_M = 12;

// Belt position, from 0 at the reference splice in carrying travel, and its spread. [m]
export function placed(weights, turns, lengthM, { errorM, extentM, isRunningBackwards }) {
  const count = weights[0].length;
  const way = isRunningBackwards ? -1 : 1;
  const positions = [];
  weights.forEach((row, index) => {
    const splice = turns.spliceS[index] / turns.seconds[index];
    row.forEach((weight, moment) => {
      if (weight > 1e-15) {
        // Ahead of the splice is what passes before it; after it on a belt that runs backwards.
        positions.push([part(way * (splice - (moment + 0.5) / count), 1) * lengthM, weight]);
      }
    });
  });
  const best = densest(positions, lengthM);
  const near = positions
    .map(([at, weight]) => [part(at - best + lengthM / 2, lengthM) - lengthM / 2, weight])
    .filter(([apart]) => Math.abs(apart) <= SAME_PLACE * lengthM);
  const total = near.reduce((sum, [, weight]) => sum + weight, 0);
  const middle = near.reduce((sum, [apart, weight]) => sum + apart * weight, 0) / total;
  const variance = near.reduce((sum, [apart, weight]) => sum + weight * (apart - middle) ** 2, 0) / total;
  const ofLength = Math.max(extentM - POINT_M, 0) / 2;
  const spread = Math.hypot(Math.sqrt(variance), errorM, ofLength);
  return { positionM: part(best + middle, lengthM), spreadM: Math.max(spread, LEAST_SPREAD_M) };
}

function densest(positions, lengthM) {
  const slots = Math.max(Math.trunc(lengthM / 2), 25);
  const held = new Float64Array(slots);
  for (const [at, weight] of positions) {
    held[Math.min(Math.trunc((at / lengthM) * slots), slots - 1)] += weight;
  }
  let best = 0;
  const round = (slot) => held[part(slot - 1, slots)] + held[slot] + held[part(slot + 1, slots)];
  for (let slot = 1; slot < slots; slot += 1) if (round(slot) > round(best)) best = slot;
  return ((best + 0.5) / slots) * lengthM;
}
