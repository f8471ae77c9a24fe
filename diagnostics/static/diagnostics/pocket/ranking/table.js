// The table of one conveyor: a JSON header and typed arrays in one buffer. Loop positions are from
// where the belt leaves the tail [m]; offsets are positive to the right in carrying travel. [mm]

// "LWT" and the version of the format.
const MARK = 0x4c575401;
const TYPES = { f8: Float64Array, f4: Float32Array, u2: Uint16Array };

/** @param {ArrayBuffer} buffer  throws when it is no table of this version */
export function openTable(buffer) {
  const view = new DataView(buffer);
  if (buffer.byteLength < 8 || view.getUint32(0, true) !== MARK) {
    throw new Error("no table of a conveyor, or of another version");
  }
  const body = 8 + view.getUint32(4, true);
  const header = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 8, body - 8)));
  const arrays = {};
  for (const [name, [type, start, count]] of Object.entries(header.arrays)) {
    arrays[name] = new TYPES[type](buffer, body + start, count);
  }
  const loads = Object.keys(header.loads);
  const nodes = spread(arrays.node_at, arrays.node_m, header.nodes);
  const rolls = rollsOf(header, arrays, nodes);
  const families = familiesOf(header, rolls);
  return {
    ...header,
    arrays,
    loadNames: loads,
    nodes,
    rolls_told: header.rolls,
    rolls,
    families,
    candidates: families.reduce((sum, one) => sum + one.count, 0),
    peaks: Object.fromEntries(loads.map((load, at) => [load, peaksOf(header, arrays, at)])),
    // What was computed for a look serves the next ranking too.
    kept: { columns: new Map(), models: new Map() },
  };
}

/** Shortest way between two places, either way round. [m] */
export function apart(table, one, other) {
  const ahead = wrapped(one - other, table.length_m);
  return Math.min(ahead, table.length_m - ahead);
}

export function wrapped(position, length) {
  return ((position % length) + length) % length;
}

/** Where a named place stands; null when there is none of this name. */
export function placeNamed(table, name) {
  const wanted = name.trim().toLowerCase();
  const found = table.named.find((one) => one[0].toLowerCase() === wanted);
  if (found) return found[2];
  const { at, nameOf } = table.rolls;
  for (let roll = 0; roll < at.length; roll += 1) {
    if (nameOf(roll).toLowerCase() === wanted) return at[roll];
  }
  return null;
}

/** Straight lines through (knots[i], values[i]) at 0, 1 ... count - 1. */
export function spread(knots, values, count) {
  const result = new Float64Array(count);
  if (count && knots.length === 1) result.fill(values[0]);
  for (let knot = 0; knot + 1 < knots.length; knot += 1) {
    const start = knots[knot];
    const end = knots[knot + 1];
    const rise = (values[knot + 1] - values[knot]) / Math.max(end - start, 1);
    for (let at = start; at <= end; at += 1) result[at] = values[knot] + rise * (at - start);
  }
  return result;
}

/** Straight lines through (at[i], values[i]), level beyond both ends, at rising places. */
export function along(at, values, places) {
  let knot = 0;
  return Float64Array.from(places, (place) => {
    while (knot + 2 < at.length && at[knot + 1] <= place) knot += 1;
    if (at.length < 2) return values[0] ?? 0;
    const share = (place - at[knot]) / (at[knot + 1] - at[knot]);
    const inside = Math.min(Math.max(share, 0), 1);
    return values[knot] + inside * (values[knot + 1] - values[knot]);
  });
}

function rollsOf(header, arrays, nodes) {
  const told = header.rolls;
  const node = Uint32Array.from(spread(arrays.roll_at, arrays.roll_node, told.count), Math.round);
  const at = Float64Array.from(node, (one) => nodes[one]);
  const kind = new Uint8Array(told.count);
  const run = new Uint8Array(told.count);
  const starts = [];
  let start = 0;
  for (const [, , count, kindNumber, runNumber] of told.names) {
    kind.fill(kindNumber, start, start + count);
    run.fill(runNumber, start, start + count);
    starts.push(start);
    start += count;
  }
  function nameOf(roll) {
    let group = starts.length - 1;
    while (starts[group] > roll) group -= 1;
    const [prefix, number] = told.names[group];
    return number ? `${prefix}${number + roll - starts[group]}` : prefix;
  }
  const onRun = header.runs.map((_, number) => {
    const found = [];
    for (let roll = 0; roll < told.count; roll += 1) if (run[roll] === number) found.push(roll);
    return Uint16Array.from(found);
  });
  return { at, node, kind, run, onRun, nameOf, spacing: spacings(at, told) };
}

/** The belt that each roll carries: half-way to its neighbours. [m] */
function spacings(at, told) {
  const [least, most] = told.share_m;
  return at.map((_, roll) => {
    const before = roll ? at[roll - 1] : told.ends_m[0];
    const after = roll + 1 < at.length ? at[roll + 1] : told.ends_m[1];
    return Math.max(Math.min((after - before) / 2, most), least);
  });
}

function familiesOf(header, rolls) {
  let start = 0;
  return header.families.map((one) => {
    const family = { ...one, ...PLACES[one.is](one, rolls, header), start };
    start += one.count;
    return family;
  });
}

/** Middles and ends of the candidates of each kind of family, and the roll in the middle. */
const PLACES = {
  group(one, rolls) {
    const run = rolls.onRun[one.run];
    const starts = evenly(one.from, one.to, one.count).map(Math.round);
    const from = starts.map((first) => rolls.at[run[first]]);
    const to = starts.map((first) => rolls.at[run[first + one.size - 1]]);
    const middle = Array.from(starts, (first) => run[first + ((one.size - 1) >> 1)]);
    return { starts, from, to, at: from.map((first, place) => (first + to[place]) / 2), middle };
  },
  stuck(one, rolls, header) {
    const aligning = header.rolls.aligning;
    const middle = Array.from(rolls.onRun[one.run]).filter((roll) => rolls.kind[roll] === aligning);
    const at = Float64Array.from(middle, (roll) => rolls.at[roll]);
    return { at, from: at, to: at, middle };
  },
  bow(one, rolls) {
    const at = evenly(one.from, one.to, one.count);
    const run = rolls.onRun[one.run];
    return {
      at,
      from: at.map((centre) => centre - one.half),
      to: at.map((centre) => centre + one.half),
      middle: Array.from(at, (centre) => nearest(run, rolls.at, centre)),
    };
  },
  load(one) {
    return { ...component(one), starts: one.from };
  },
  point: component,
};

function component(one) {
  const at = Float64Array.of(one.at);
  return { at, from: at, to: at, middle: null };
}

function evenly(from, to, count) {
  const step = count > 1 ? (to - from) / (count - 1) : 0;
  return Float64Array.from({ length: count }, (_, place) => from + step * place);
}

/** The roll of a run nearest to a position; of two as near, the one before. */
function nearest(run, at, position) {
  const number = firstWhere(run.length, (one) => at[run[one]] >= position);
  const after = run[Math.min(number, run.length - 1)];
  const before = run[Math.max(number - 1, 0)];
  return Math.abs(position - at[before]) <= Math.abs(at[after] - position) ? before : after;
}

/** The first of so many numbers from which on a question is answered by yes. */
export function firstWhere(count, holds) {
  let low = 0;
  let high = count;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (holds(middle)) high = middle;
    else low = middle + 1;
  }
  return low;
}

/** Largest effect of every candidate anywhere on the loop. [mm per unit] */
function peaksOf(header, arrays, load) {
  const total = arrays.peak_at.length;
  const own = arrays.peak.subarray(load * total, (load + 1) * total);
  const result = [];
  let knot = 0;
  for (const one of header.families) {
    const end = knot + one.peaks;
    result.push(...spread(arrays.peak_at.subarray(knot, end), own.subarray(knot, end), one.count));
    knot = end;
  }
  return Float64Array.from(result);
}
