// From the probabilities of single places to entries a person can read: neighbouring idlers cannot
// be told apart by what they do to the belt and are one entry.

import { familyOf } from "./causes.js";

/** Entries of one cause, from the likeliest place on. */
export function entriesOf(table, standing) {
  const { cause, places, probability } = standing;
  const named = { class: cause.class, cause: cause.slug };
  if (!places) {
    return Array.from(probability, (share, at) => ({
      ...named,
      component: (cause.at_splice && table.splice_names[at]) || null,
      position_m: null,
      probability: share,
    }));
  }
  const spots = places.map((candidate, at) => {
    const family = familyOf(table, candidate);
    const place = candidate - family.start;
    return {
      at: family.at[place],
      component: family.middle ? table.rolls.nameOf(family.middle[place]) : family.component,
      probability: probability[at],
      runsOn: family.is === "group" || family.is === "bow",
    };
  });
  const groups = spots[0].runsOn ? clusters(table, spots) : byComponent(spots);
  return groups.map((members) => {
    const middle = median(members);
    return {
      ...named,
      component: middle.component || null,
      position_m: middle.at,
      probability: total(members.map((one) => one.probability)),
    };
  });
}

/** What lies within reach of the likeliest place left is one with it. */
function clusters(table, spots) {
  const left = [...spots].sort((one, other) => other.probability - one.probability);
  const taken = new Set();
  const found = [];
  for (const top of left) {
    if (taken.has(top)) continue;
    const reach = table.constants.reach_m;
    const members = spots.filter((one) => !taken.has(one) && Math.abs(one.at - top.at) <= reach);
    members.forEach((one) => taken.add(one));
    found.push(members);
  }
  return found;
}

function byComponent(spots) {
  const found = new Map();
  for (const one of spots) {
    if (!found.has(one.component)) found.set(one.component, []);
    found.get(one.component).push(one);
  }
  return [...found.values()];
}

/** The place at the middle of the probability. */
function median(members) {
  const ordered = [...members].sort((one, other) => one.at - other.at);
  const half = total(ordered.map((one) => one.probability)) / 2;
  let sum = 0;
  for (const one of ordered) {
    sum += one.probability;
    if (sum >= half) return one;
  }
  return ordered[ordered.length - 1];
}

export function total(values) {
  let sum = 0;
  for (const one of values) sum += one;
  return sum;
}
