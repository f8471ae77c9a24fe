// The lateral model of one load state: how far a force or heading anywhere on the loop moves the
// belt at a place. Beam elements between nodes, rolls as grip and centring at their nodes, pulleys
// as a hard change of heading; assembled from the figures of the table, transposed, so that one
// solution serves every fault seen from one place.

import { banded, BANDS, factored, place, solved } from "./band.js";
import { along, firstWhere } from "./table.js";

const MM_PER_M = 1000;

/** Grip, centring and steering of each roll, tension at each node, the matrix taken apart. */
export function lateralOf(table, load) {
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
export function adjointAt(model, position) {
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
export function passingAt(table, model, position) {
  const [tension] = along(model.nodes, model.tension, [position]);
  const [centring] = along(table.rolls.at, model.centring, [position]);
  const { bending } = model;
  const stiffness = tension / bending + 2 * Math.sqrt(centring / bending);
  return {
    splice: (MM_PER_M * 0.5) / Math.sqrt(stiffness),
    camber: (MM_PER_M * bending) / (tension + 2 * Math.sqrt(bending * centring)),
  };
}
