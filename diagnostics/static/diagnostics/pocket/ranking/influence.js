// How every candidate fault and every single roll moves the belt at one place: the lateral model of
// a load state, assembled from the figures of the table. Beam elements between nodes, rolls as grip
// and centring at their nodes, pulleys as a hard change of heading; transposed, so that a single
// solution serves every fault seen from one place.

import { banded, BANDS, factored, place, solved } from "./matrix.js";
import { along, firstWhere } from "./table.js";

const RAD_PER_DEG = Math.PI / 180;
const MM_PER_M = 1000;
// A single roll that moves the belt by less per degree is too far away to count. [mm]
const LEAST_MM = 1e-5;
// Places kept: more than one walk looks at, some ten megabytes on the longest belts.
const MOST_KEPT = 300;

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
    const { columns } = table.kept;
    if (columns.size >= MOST_KEPT) columns.delete(columns.keys().next().value);
    columns.set(key, found);
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
  for (const one of table.families.filter(({ is }) => is === "bow")) {
    addBow(candidates, one, position);
  }
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
    if (Math.abs(way) < 1) candidates[family.start + one] += bowHeight(way);
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
    const height = (at) => bowHeight((at - family.at[one]) / family.half);
    const slope = (at) => bowSlope((at - family.at[one]) / family.half) / family.half;
    const first = firstWhere(rolls.at.length, (roll) => rolls.at[roll] > family.from[one]);
    for (let roll = first; roll < rolls.at.length && rolls.at[roll] < family.to[one]; roll += 1) {
      const turned = family.square ? 0 : grip[roll] * slope(rolls.at[roll]);
      add(2 * rolls.node[roll], -holds[roll] * height(rolls.at[roll]) - turned);
    }
    for (const [into, out] of pulleys) {
      if (nodes[out] <= family.from[one] || nodes[into] >= family.to[one]) continue;
      add(2 * into, -slope(nodes[into]));
      add(2 * out, height(nodes[into]) - height(nodes[out]));
      add(2 * out + 1, -slope(nodes[out]));
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

/** A bow of height 1 and half length 1, at a way from its middle. */
function bowHeight(way) {
  return Math.abs(way) < 1 ? Math.cos((Math.PI * way) / 2) ** 2 : 0;
}

function bowSlope(way) {
  return Math.abs(way) < 1 ? (-Math.PI / 2) * Math.sin(Math.PI * way) : 0;
}

/** Grip, centring and steering of each roll, tension at each node, the matrix taken apart. */
function lateralOf(table, load) {
  const told = table.loads[load];
  const { arrays, nodes } = table;
  const knots = arrays[`tension_at_${load}`];
  const at = Float64Array.from(knots, (node) => nodes[node]);
  const tension = along(at, arrays[`tension_${load}`], nodes);
  const model = { nodes, tension, bending: told.bending, ...rollsIn(table, told) };
  const matrix = assembled(table, model);
  model.factors = factored(matrix);
  model.tail = 2 * table.pulleys[table.pulleys.length - 1][0];
  const seed = new Float64Array(matrix.size);
  seed[model.tail] = 1;
  model.feltAtTail = solved(model.factors, seed);
  // Gains near 1 belong to belts that nothing centres: they drift until something stops them.
  model.left = Math.max(1 - model.feltAtTail[0], table.least_left);
  return model;
}

function rollsIn(table, told) {
  const { kind, run, spacing } = table.rolls;
  const { aligning, aligning_weight: higher, aligning_rad_m: turns } = table.rolls_told;
  const [grip, holds, centring, material] = [0, 1, 2, 3].map(() => new Float64Array(run.length));
  for (let roll = 0; roll < run.length; roll += 1) {
    const stretch = run[roll] === 0 ? Number(roll >= told.loaded_from) : 2;
    const turning = kind[roll] === aligning;
    grip[roll] = told.grip[stretch] * spacing[roll] * (turning ? higher : 1);
    material[roll] = told.material[stretch] * spacing[roll];
    centring[roll] = told.own[stretch] + told.material[stretch];
    holds[roll] = centring[roll] * spacing[roll] + (turning ? grip[roll] * turns : 0);
  }
  return { grip, holds, centring, material };
}

function assembled(table, model) {
  const { nodes, tension, bending, grip, holds } = model;
  const matrix = banded(2 * nodes.length);
  // Transposed: what belongs to (row, column) of the model is added at (column, row).
  const add = (row, column, value) => {
    matrix.values[place(column, row)] += value;
  };
  const closed = new Set(table.pulleys.map(([into]) => into));
  for (let node = 0; node + 1 < nodes.length; node += 1) {
    if (closed.has(node)) continue;
    const way = nodes[node + 1] - nodes[node];
    const pull = (tension[node] + tension[node + 1]) / (60 * way);
    addElement(add, 2 * node, way, bending / way ** 3, pull);
  }
  table.rolls.node.forEach((node, roll) => {
    add(2 * node, 2 * node, holds[roll]);
    add(2 * node, 2 * node + 1, grip[roll]);
  });
  for (const [into, out] of table.pulleys) {
    replace(matrix, 2 * into, [[2 * into + 1, 1]]);
    if (!out) continue;
    replace(matrix, 2 * out, [[2 * out, 1], [2 * into, -1]]);
    replace(matrix, 2 * out + 1, [[2 * out + 1, 1]]);
  }
  // The belt leaves the tail where it came to it: the far entry is closed by `adjointAt`.
  replace(matrix, 0, [[0, 1]]);
  replace(matrix, 1, [[1, 1]]);
  return matrix;
}

/** Bending and tension stiffness of one beam element. */
function addElement(add, row, way, bend, pull) {
  const square = way * way;
  const rows = [
    [12 * bend + 36 * pull, (6 * bend + 3 * pull) * way],
    [(6 * bend + 3 * pull) * way, (4 * bend + 4 * pull) * square],
  ];
  const far = (2 * bend - pull) * square;
  const [[push, turn], [, bent]] = rows;
  const element = [
    [push, turn, -push, turn],
    [turn, bent, -turn, far],
    [-push, -turn, push, -turn],
    [turn, far, -turn, bent],
  ];
  element.forEach((values, one) => {
    values.forEach((value, other) => add(row + one, row + other, value));
  });
}

/** A row of the model states a heading or a position instead of a balance. */
function replace(matrix, row, entries) {
  const first = Math.max(0, row - BANDS);
  const last = Math.min(matrix.size - 1, row + BANDS);
  for (let column = first; column <= last; column += 1) matrix.values[place(column, row)] = 0;
  for (const [column, value] of entries) matrix.values[place(column, row)] = value;
}

/** How far each row of the model moves the belt at a place. [m per N, N m, rad or m] */
function adjointAt(model, position) {
  const { nodes } = model;
  const side = new Float64Array(2 * nodes.length);
  const ahead = firstWhere(nodes.length, (node) => nodes[node] > position);
  const node = Math.min(Math.max(ahead - 1, 0), nodes.length - 2);
  const way = nodes[node + 1] - nodes[node];
  const x = Math.min(Math.max((position - nodes[node]) / way, 0), 1);
  side[2 * node] = 1 - 3 * x ** 2 + 2 * x ** 3;
  side[2 * node + 1] = way * (x - 2 * x ** 2 + x ** 3);
  side[2 * node + 2] = 3 * x ** 2 - 2 * x ** 3;
  side[2 * node + 3] = way * (x ** 3 - x ** 2);
  const free = solved(model.factors, side);
  const again = free[0] / model.left;
  for (let row = 0; row < free.length; row += 1) free[row] += model.feltAtTail[row] * again;
  return free;
}

/** Offset at a place while a defect of unit size passes it. [mm per rad], [mm per 1/m] */
function passingAt(table, model, position) {
  const [tension] = along(model.nodes, model.tension, [position]);
  const [centring] = along(table.rolls.at, model.centring, [position]);
  const { bending } = model;
  const stiffness = tension / bending + 2 * Math.sqrt(centring / bending);
  return {
    splice: (MM_PER_M * 0.5) / Math.sqrt(stiffness),
    camber: (MM_PER_M * bending) / (tension + 2 * Math.sqrt(bending * centring)),
  };
}
