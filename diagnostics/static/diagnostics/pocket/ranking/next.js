// Which stations to look at next: what a look is expected to tell about class and place, for its
// minutes, each beside those already chosen.

import { columnAt } from "./influence.js";
import { background, rollsCover, together, wander, withDiagonal } from "./profile.js";
import { cholesky, solve } from "./matrix.js";
import { familyOf } from "./causes.js";
import { compared } from "./readings.js";
import { apart } from "./table.js";

const BELT = ["belt_splice", "belt_section"];
const MOST_LOOKS = 3;

/** Up to three stations not yet looked at, in the order in which they tell most per minute. */
export function nextLooks(situation) {
  const { table, evidence, onset } = situation;
  const load = evidence.load ?? usualLoad(evidence.sightings);
  const offered = unread(situation, load);
  const suspects = drawn(table, situation.standings);
  if (!offered.length || suspects.length < 2) return [];
  const from = evidence.from_m ?? (onset ? onset.position_m : 0);
  return chosen(table, predicted(situation, suspects, offered, load), suspects, offered, from).map(
    (one) => ({ ...one, load }),
  );
}

function usualLoad(sightings) {
  const loaded = sightings.filter((one) => one.load === "loaded").length;
  return 2 * loaded >= sightings.length ? "loaded" : "empty";
}

/** The walking route, and the idlers nearest to the likeliest places. */
function unread(situation, load) {
  const { table, evidence } = situation;
  const read = evidence.sightings.filter((one) => one.load === load);
  const near = table.constants.next.read_m;
  const found = new Map();
  for (const one of [...table.route, ...nearby(situation)]) found.set(one[0], one);
  return [...found.values()]
    .filter(([, , at]) => !read.some((one) => apart(table, one.position_m, at) <= near))
    .map(([station, run, position_m]) => ({ station, run, position_m }));
}

function nearby({ table, entries }) {
  const { centres, around } = table.constants.next;
  const { at, run, nameOf } = table.rolls;
  const places = entries.filter((one) => Number.isFinite(one.position_m)).slice(0, centres);
  return places.flatMap(({ position_m: centre }) => {
    const way = at.map((one) => apart(table, one, centre));
    return Array.from(at.keys())
      .sort((one, other) => way[one] - way[other] || one - other)
      .slice(0, around)
      .map((roll) => [nameOf(roll), table.runs[run[roll]], Math.round(at[roll] * 1e3) / 1e3]);
  });
}

/** Suspicions in proportion to their probability, those alike put together. */
function drawn(table, standings) {
  const ordered = [...standings].sort((one, other) =>
    compared([one.cause.class, one.cause.slug], [other.cause.class, other.cause.slug]),
  );
  const { drawn: count } = table.constants.next;
  const whole = ordered.reduce((sum, one) => one.probability.reduce((a, b) => a + b, sum), 0);
  const found = new Map();
  let draw = 0;
  let sum = 0;
  for (const { cause, places, probability } of ordered) {
    probability.forEach((share, at) => {
      sum += share;
      while (draw < count && ((draw + 0.5) / count) * whole <= sum) {
        const candidate = places ? places[at] : null;
        const key = `${cause.class} ${candidate}`;
        const weight = (found.get(key)?.weight ?? 0) + 1 / count;
        found.set(key, { class: cause.class, candidate, weight });
        draw += 1;
      }
    });
  }
  return [...found.values()];
}

/** Readings at looks not taken yet, given what was read; normal under each suspect. */
function predicted({ table, profile }, suspects, offered, load) {
  const { readings, columns: seen } = profile;
  const { usual, idler_deg: degrees, erratic_mm: erratic } = table.constants.profile;
  const { chance, passing_mm: passes, said_of_fixed: saidFixed } = table.constants.next;
  const eye = table.constants.readings.reading_mm ** 2;
  const n = readings.count;
  const looks = offered.map((one) => ({ position: one.position_m, load }));
  const columns = looks.map((one) => columnAt(table, one.position, load));
  const own = withDiagonal(
    background(table, readings.places, profile.rolls, usual, n),
    readings.rounding.map((one) => one + eye),
  );
  const factor = cholesky(own, n);
  const single = (usual * degrees) ** 2;
  const across = looks.map((look, row) =>
    Float64Array.from({ length: n }, (_, at) => {
      const other = readings.places[at];
      if (!other) return 0;
      const moved = single * together(columns[row], seen[at]);
      return moved + wander(table, look.position, other.position, usual);
    }),
  );
  const gains = across.map((one) => solve(factor, one, n));
  const before = background(table, looks, rollsCover(columns, looks.length), usual, looks.length);
  const cover = looks.map((_, row) =>
    Float64Array.from(looks, (__, column) => {
      const told = dot(gains[row], across[column]);
      return before[row * looks.length + column] - told + (row === column ? eye : 0);
    }),
  );
  const read = gains.map((one) => dot(one, readings.offsets));
  const templates = suspects.map((one) => template(table, one, seen, columns, n));
  const weighedBy = templates.map((one) => solve(factor, one.seen, n));
  const precision = templates.map((one, at) => 1 / one.spread ** 2 + dot(one.seen, weighedBy[at]));
  const amplitude = weighedBy.map((one, at) => dot(one, readings.offsets) / precision[at]);
  const shape = looks.map((_, row) =>
    Float64Array.from(templates, (one) => one.ahead[row] - dot(gains[row], one.seen)),
  );
  const caught = table.constants.travelling.said_when_caught;
  const travels = suspects.map((one) => BELT.includes(one.class));
  return {
    mean: shape.map((one, row) => one.map((value, at) => read[row] + value * amplitude[at])),
    shape,
    variance: precision.map((one) => 1 / one),
    cover,
    extra: suspects.map((one, at) => {
      if (travels[at]) return chance * passes ** 2;
      return one.candidate === null ? erratic ** 2 : 0;
    }),
    remarked: travels.map((one) =>
      one ? chance * caught + saidFixed * (1 - chance) : saidFixed,
    ),
  };
}

/** What a suspect does at the readings and at the looks; nothing when it has no place. */
function template(table, { candidate }, seen, columns, n) {
  const none = new Float64Array(n);
  if (candidate === null) return { seen: none, ahead: new Float64Array(columns.length), spread: 1 };
  return {
    seen: seen.length ? Float64Array.from(seen, (one) => one.candidates[candidate]) : none,
    ahead: Float64Array.from(columns, (one) => one.candidates[candidate]),
    spread: familyOf(table, candidate).spread,
  };
}

function chosen(table, told, suspects, offered, start) {
  const { least_bits: least, apart_m: near } = table.constants.next;
  const weights = suspects.map((one) => one.weight);
  const names = [...new Set(suspects.map((one) => one.class))];
  const member = suspects.map((one) => names.indexOf(one.class));
  const said = saidApart(told.remarked);
  const share = table.constants.next.place_share;
  const bits = (distances) => bitsOf(distances, weights, member, names.length, share);
  let distance = new Float64Array(suspects.length ** 2);
  let left = mostSpread(told, weights, table.constants.next.most_weighed);
  let from = start;
  const found = [];
  while (left.length && found.length < MOST_LOOKS) {
    const before = bits(distance);
    const further = left.map((look) => added(distance, apartBy(told, look, said)));
    const gained = further.map((one) => bits(one) - before);
    const minutes = left.map((look) => minutesTo(table, from, offered[look].position_m));
    const rates = gained.map((one, at) => one / minutes[at]);
    const best = rates.indexOf(Math.max(...rates));
    if (!(gained[best] >= least)) break;
    const look = left[best];
    found.push({ ...offered[look], bits: gained[best], minutes: minutes[best] });
    distance = further[best];
    take(told, look);
    from = offered[look].position_m;
    left = left.filter((one) => apart(table, offered[one].position_m, from) > near);
  }
  return found;
}

/** Looks whose predicted readings differ most between suspects, in their order. */
function mostSpread({ mean, shape, variance, cover }, weights, most) {
  const differs = mean.map((row, look) => {
    const middle = dot(row, weights);
    const between = row.reduce((sum, one, at) => sum + weights[at] * (one - middle) ** 2, 0);
    const unknown = shape[look].reduce(
      (sum, one, at) => sum + weights[at] * one ** 2 * variance[at],
      0,
    );
    return (between + unknown) / cover[look][look];
  });
  return [...differs.keys()]
    .sort((one, other) => differs[other] - differs[one] || one - other)
    .slice(0, most)
    .sort((one, other) => one - other);
}

/** Bhattacharyya distances of the readings predicted at one look, suspect by suspect. */
function apartBy({ mean, shape, variance, cover, extra }, look, said) {
  const count = variance.length;
  const own = variance.map(
    (one, at) => cover[look][look] + shape[look][at] ** 2 * one + extra[at],
  );
  const result = new Float64Array(count * count);
  for (let one = 0; one < count; one += 1) {
    for (let other = 0; other < count; other += 1) {
      const both = own[one] + own[other];
      const away = (mean[look][one] - mean[look][other]) ** 2 / (4 * both);
      const wider = 0.5 * Math.log(both) - 0.25 * Math.log(4 * own[one] * own[other]);
      result[one * count + other] = away + wider + said[one * count + other];
    }
  }
  return result;
}

/** Distances by whether "comes and goes" would be said. */
function saidApart(remarked) {
  return remarked.flatMap((one) =>
    remarked.map((other) => {
      const alike = Math.sqrt(one * other) + Math.sqrt((1 - one) * (1 - other));
      return -Math.log(Math.min(alike, 1));
    }),
  );
}

/** About the class, and a share of what is told about the place within it. */
function bitsOf(distances, weights, member, classes, placeShare) {
  const count = weights.length;
  const inClass = new Float64Array(classes);
  member.forEach((name, at) => {
    inClass[name] += weights[at];
  });
  let bits = 0;
  for (let one = 0; one < count; one += 1) {
    let whole = 0;
    let alike = 0;
    for (let other = 0; other < count; other += 1) {
      const near = weights[other] * Math.exp(-distances[one * count + other]);
      whole += near;
      if (member[one] === member[other]) alike += near;
    }
    const within = Math.log2(alike / inClass[member[one]]);
    bits += weights[one] * ((1 - placeShare) * within - Math.log2(whole));
  }
  return bits;
}

/** Choose a look: the others are left with what it does not tell. */
function take({ mean, shape, variance, cover, extra }, look) {
  const ownCover = Float64Array.from(cover[look]);
  const ownMean = Float64Array.from(mean[look]);
  const ownShape = Float64Array.from(shape[look]);
  variance.forEach((one, at) => {
    variance[at] = 1 / (1 / one + ownShape[at] ** 2 / (ownCover[look] + extra[at]));
  });
  cover.forEach((row, at) => {
    const along = ownCover[at] / ownCover[look];
    ownCover.forEach((one, column) => {
      row[column] -= along * one;
    });
    ownMean.forEach((one, suspect) => {
      mean[at][suspect] -= along * one;
      shape[at][suspect] -= along * ownShape[suspect];
    });
  });
}

/** Walking along the ground, the return run below the carrying run, and looking. */
function minutesTo(table, from, to) {
  const { look_min: look, walk_m_per_min: pace } = table.constants.next;
  const ground = (at) => {
    if (at <= table.head_m) return at;
    return (table.head_m * (table.length_m - at)) / (table.length_m - table.head_m);
  };
  return look + Math.abs(ground(from) - ground(to)) / pace;
}

function added(one, other) {
  return one.map((value, at) => value + other[at]);
}

function dot(one, other) {
  let sum = 0;
  for (let at = 0; at < one.length; at += 1) sum += one[at] * other[at];
  return sum;
}
