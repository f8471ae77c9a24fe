// How every candidate fault and every single roll moves the belt at one place.

import { adjointAt, lateralOf, passingAt } from "./lateral.js";
import { firstWhere } from "./table.js";

const RAD_PER_DEG = Math.PI / 180;
const MM_PER_M = 1000;
// A single roll that moves the belt by less per degree is too far away to count. [mm]
const LEAST_MM = 1e-5;

/**
 * @returns {{candidates: Float64Array, rolls: Float32Array, first: number, last: number,
 *   splice: number, camber: number}} mm per unit, and per degree of each roll's heading from
 *   `first` up to `last`; of what travels, mm per rad and per 1/m
 */
export function columnAt(table, position, load) {
  const key = `${load} ${position}`;
  let found = table.kept.columns.get(key);
  if (!found) {
    found = computed(table, modelOf(table, load), position);
    table.kept.columns.set(key, found);
  }
  return found;
}

function computed(table, model, position) {
  const felt = adjointAt(model, position);
  const { start, row, value } = model.templates;
  const candidates = new Float64Array(table.candidates);
  for (let one = 0; one < candidates.length; one += 1) {
    let sum = 0;
    for (let at = start[one]; at < start[one + 1]; at += 1) sum += value[at] * felt[row[at]];
    candidates[one] = sum;
  }
  for (const family of table.families) if (family.is === "bow") addBow(candidates, family, position);
  return {
    candidates,
    ...singleRolls(table, model.grip, felt),
    ...passingAt(table, model, position),
  };
}

/** A single roll turned by one degree, from the first to the last that does anything here. */
function singleRolls({ rolls: { node } }, grip, felt) {
  const rolls = new Float32Array(grip.length);
  let first = 0;
  let last = 0;
  for (let roll = 0; roll < grip.length; roll += 1) {
    const moved = grip[roll] * RAD_PER_DEG * MM_PER_M * felt[2 * node[roll]];
    rolls[roll] = Math.abs(moved) < LEAST_MM ? 0 : moved;
    if (rolls[roll] !== 0) last = roll + 1;
    else if (last === 0) first = roll + 1;
  }
  return { rolls, first, last };
}

/** The belt keeps to the old line while the structure beside it bows to the left. */
function addBow(candidates, family, position) {
  for (let one = 0; one < family.count; one += 1) {
    const way = (position - family.at[one]) / family.half;
    candidates[family.start + one] += bowAt(way, family.half)[0];
  }
}

/** The lateral model with every candidate as forces at its rows; kept for each load state. */
function modelOf(table, load) {
  let found = table.kept.models.get(load);
  if (!found) {
    found = lateralOf(table, load);
    found.load = table.loadNames.indexOf(load);
    found.templates = templatesOf(table, found);
    table.kept.models.set(load, found);
  }
  return found;
}

function templatesOf(table, model) {
  const start = [0];
  const row = [];
  const value = [];
  const add = (where, force) => {
    row.push(where);
    value.push(force);
  };
  for (const family of table.families) {
    for (let one = 0; one < family.count; one += 1) {
      WRITTEN[family.is](table, model, family, one, add);
      start.push(row.length);
    }
  }
  return { start, row: Uint32Array.from(row), value: Float64Array.from(value) };
}

const WRITTEN = {
  group({ rolls }, { grip }, family, one, add) {
    const first = family.starts[one];
    for (const roll of rolls.onRun[family.run].subarray(first, first + family.size)) {
      add(2 * rolls.node[roll], grip[roll] * RAD_PER_DEG * MM_PER_M);
    }
  },
  stuck({ rolls }, { grip }, family, one, add) {
    const roll = family.middle[one];
    add(2 * rolls.node[roll], grip[roll] * RAD_PER_DEG * MM_PER_M);
  },
  // Forces on a belt whose rolls are moved and turned with the structure: what `addBow` leaves.
  bow({ rolls, pulleys }, { nodes, grip, holds }, family, one, add) {
    const shape = (at) => bowAt((at - family.at[one]) / family.half, family.half);
    const first = firstWhere(rolls.at.length, (roll) => rolls.at[roll] > family.from[one]);
    for (let roll = first; roll < rolls.at.length && rolls.at[roll] < family.to[one]; roll += 1) {
      const [height, slope] = shape(rolls.at[roll]);
      const turned = family.square ? 0 : grip[roll] * slope;
      add(2 * rolls.node[roll], -holds[roll] * height - turned);
    }
    for (const [into, out] of pulleys) {
      const [start, slopeIn] = shape(nodes[into]);
      const [end, slopeOut] = shape(nodes[out]);
      if (slopeIn) add(2 * into, -slopeIn);
      if (end !== start) add(2 * out, start - end);
      if (slopeOut) add(2 * out + 1, -slopeOut);
    }
  },
  // One millimetre of load to the left, from the load point to the head.
  load({ rolls }, { material }, family, _one, add) {
    for (let roll = family.starts; roll < material.length; roll += 1) {
      if (material[roll]) add(2 * rolls.node[roll], material[roll]);
    }
  },
  point(_table, { load }, { forces }, _one, add) {
    for (const [row, ...values] of forces) add(row, values[load] * MM_PER_M);
  },
};

/** Height and slope of a bow of height 1. */
function bowAt(way, half) {
  if (Math.abs(way) >= 1) return [0, 0];
  const height = Math.cos((Math.PI * way) / 2) ** 2;
  return [height, (-Math.PI / (2 * half)) * Math.sin(Math.PI * way)];
}
