// Which stations to look at next: what a look is expected to tell about class and place, for its
// minutes, each beside those already chosen.

import { familyOf } from "./causes.js";
import { BELT, inOrder } from "./features.js";
import { columnAt } from "./influence.js";
import { cholesky, dot, solve } from "./matrix.js";
import { background, rollsCover, together, wander, withDiagonal } from "./profile.js";
import { apart, firstWhere, wrapped } from "./table.js";

const MOST_LOOKS = 3;

/** Up to three stations not yet looked at, in the order in which they tell most per minute. */
export function nextLooks(situation) {
  const { table, evidence, onset } = situation;
  const load = evidence.load ?? usualLoad(evidence.sightings);
  const offered = unread(situation, load);
  const suspects = drawn(table, situation.standings);
  if (!offered.length || suspects.length < 2) return [];
  const from = evidence.from_m ?? (onset ? onset.position_m : 0);
  return chosen(table, predicted(situation, suspects, offered), suspects, offered, from);
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
  for (const one of [...table.route, ...nearby(situation)]) {
    if (!found.has(one[0])) found.set(one[0], one);
  }
  return [...found.values()]
    .filter(([, , at]) => !read.some((one) => apart(table, one.position_m, at) <= near))
    .map(([station, run, position_m]) => ({ station, run, position_m, load }));
}

function nearby({ table, entries }) {
  const { centres, around } = table.constants.next;
  const { at, run, nameOf } = table.rolls;
  if (!at.length) return [];
  const places = entries.filter((one) => Number.isFinite(one.position_m)).slice(0, centres);
  return places.flatMap(({ position_m: centre }) => {
    const ahead = firstWhere(at.length, (roll) => at[roll] >= centre);
    const beside = Array.from({ length: 2 * around }, (_, step) => ahead - around + step);
    const rolls = new Set(beside.map((roll) => wrapped(roll, at.length)).slice(-at.length));
    return inOrder([...rolls], (roll) => [apart(table, at[roll], centre), roll])
      .slice(0, around)
      .map((roll) => [nameOf(roll), table.runs[run[roll]], Math.round(at[roll] * 1e6) / 1e6]);
  });
}

function chosen(table, told, suspects, offered, start) {
  const { least_bits: least, apart_m: near, most_weighed: most } = table.constants.next;
  const bits = bitsOf(table, suspects);
  const said = saidApart(told.remarked);
  let distance = new Float64Array(suspects.length ** 2);
  let left = mostSpread(told, suspects, most);
  let from = start;
  const found = [];
  while (left.length && found.length < MOST_LOOKS) {
    const before = bits(distance);
    const further = left.map((look) => apartBy(told, look, said, distance));
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
function mostSpread({ mean, shape, variance, cover }, suspects, most) {
  const weights = suspects.map((one) => one.weight);
  const differs = mean.map((row, look) => {
    const middle = dot(row, weights);
    const between = row.reduce((sum, one, at) => sum + weights[at] * (one - middle) ** 2, 0);
    const unknown = shape[look].reduce(
      (sum, one, at) => sum + weights[at] * one ** 2 * variance[at],
      0,
    );
    return (between + unknown) / cover[look][look];
  });
  const best = inOrder([...differs.keys()], (look) => [-differs[look], look]).slice(0, most);
  return best.sort((one, other) => one - other);
}

/** Bhattacharyya distances of suspects by one look more, beside those they have. */
function apartBy({ mean, shape, variance, cover, extra }, look, said, before) {
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
      const at = one * count + other;
      result[at] = before[at] + away + wider + said[at];
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

/** What distances tell about the class, and in part about the place within it. [bit] */
function bitsOf(table, suspects) {
  const share = table.constants.next.place_share;
  const inClass = {};
  for (const one of suspects) inClass[one.class] = (inClass[one.class] ?? 0) + one.weight;
  return (distances) =>
    suspects.reduce((bits, one, row) => {
      let whole = 0;
      let alike = 0;
      suspects.forEach((other, column) => {
        const near = other.weight * Math.exp(-distances[row * suspects.length + column]);
        whole += near;
        if (one.class === other.class) alike += near;
      });
      const within = Math.log2(alike / inClass[one.class]);
      return bits + one.weight * ((1 - share) * within - Math.log2(whole));
    }, 0);
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

/** Suspicions drawn in proportion to their probability, those alike put together. */
function drawn(table, standings) {
  const ordered = inOrder(standings, ({ cause }) => [cause.class, cause.slug]);
  const { drawn: count } = table.constants.next;
  const whole = ordered.reduce((sum, one) => sum + one.share, 0);
  const found = new Map();
  let draw = 0;
  let sum = 0;
  for (const { cause, places, share, within } of ordered) {
    within.forEach((part, at) => {
      sum += share * part;
      while (draw < count && ((draw + 0.5) / count) * whole <= sum) {
        const candidate = places ? places[at] : null;
        const name = `${cause.class} ${candidate}`;
        const weight = (found.get(name)?.weight ?? 0) + 1 / count;
        found.set(name, { class: cause.class, candidate, weight });
        draw += 1;
      }
    });
  }
  return [...found.values()];
}

/** Readings at looks not taken yet, given what was read; normal under each suspect. */
function predicted({ table, profile }, suspects, looks) {
  const columns = looks.map((one) => columnAt(table, one.position_m, one.load));
  const given = conditioned(table, profile, looks, columns);
  const templates = suspects.map((one) => template(table, one, profile, columns));
  const amplitudes = templates.map((one) => amplitude(one, given, profile.readings.offsets));
  const shape = looks.map((_, row) =>
    Float64Array.from(templates, (one) => one.ahead[row] - dot(given.gains[row], one.seen)),
  );
  return {
    mean: shape.map((row, look) =>
      row.map((one, at) => given.expected[look] + one * amplitudes[at].mean),
    ),
    shape,
    variance: amplitudes.map((one) => one.variance),
    cover: given.cover,
    ...unplaced(table, suspects),
  };
}

/** What the readings taken say of the background at the looks. */
function conditioned(table, { readings, columns: seen, rolls }, looks, columns) {
  const { usual, idler_deg: degrees } = table.constants.profile;
  const n = readings.count;
  const size = looks.length;
  const eye = table.constants.readings.reading_mm ** 2;
  const own = background(table, readings.places, rolls, usual, n);
  const factor = cholesky(withDiagonal(own, readings.rounding.map((one) => one + eye)), n);
  const across = looks.map((look, row) =>
    Float64Array.from(readings.offsets, (_, at) => {
      if (!seen.length) return 0;
      const moved = (usual * degrees) ** 2 * together(columns[row], seen[at]);
      return moved + wander(table, look.position_m, readings.places[at].position, usual);
    }),
  );
  const gains = across.map((one) => solve(factor, one, n));
  const places = looks.map((one) => ({ position: one.position_m }));
  const before = background(table, places, rollsCover(columns, size), usual, size);
  const cover = gains.map((gain, row) =>
    Float64Array.from(across, (one, column) => {
      return before[row * size + column] - dot(gain, one) + (row === column ? eye : 0);
    }),
  );
  return { factor, gains, cover, expected: gains.map((one) => dot(one, readings.offsets)) };
}

/** What a suspect does at the readings and at the looks; nothing when it has no place. */
function template(table, { candidate }, { readings, columns: seen }, columns) {
  const at = (column) => (candidate === null ? 0 : column.candidates[candidate]);
  return {
    seen: seen.length ? Float64Array.from(seen, at) : new Float64Array(readings.count),
    ahead: Float64Array.from(columns, at),
    spread: candidate === null ? 1 : familyOf(table, candidate).spread,
  };
}

function amplitude({ seen, spread }, { factor }, offsets) {
  const weighed = solve(factor, seen, offsets.length);
  const variance = 1 / (1 / spread ** 2 + dot(seen, weighed));
  return { mean: dot(weighed, offsets) * variance, variance };
}

/** What suspects without a place add to each reading's variance, and how often "comes and goes". */
function unplaced(table, suspects) {
  const { chance, passing_mm: passes, said_of_fixed: fixed } = table.constants.next;
  const { erratic_mm: erratic } = table.constants.profile;
  const caught = chance * table.constants.travelling.said_when_caught + fixed * (1 - chance);
  const travels = suspects.map((one) => BELT.includes(one.class));
  return {
    extra: suspects.map(({ candidate }, at) => {
      if (travels[at]) return chance * passes ** 2;
      return candidate === null ? erratic ** 2 : 0;
    }),
    remarked: travels.map((one) => (one ? caught : fixed)),
  };
}
