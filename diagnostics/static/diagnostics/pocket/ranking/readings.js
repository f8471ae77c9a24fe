// Sightings as numbers, and what a walker calls off centre.

// Offsets are compared at a thousandth of a millimetre, whatever binary fractions make of them.
const HAIR_MM = 1e-3;
// A look that could not tell anything stands for none at all. [mm2]
const TELLS_NOTHING_MM2 = 1e12;

/** Signed offset: the reading, or the middle of the noted degree. [mm] */
export function offsetOf(table, sighting) {
  if (sighting.offset_mm !== null && sighting.offset_mm !== undefined) return sighting.offset_mm;
  const sign = sighting.side === "right" ? 1 : sighting.side === "left" ? -1 : 0;
  const { middle } = table.constants.readings;
  return sign * middle[sighting.degree ?? "centred"] * table.clearance_mm;
}

export function isOff(table, sighting) {
  const least = table.constants.readings.centred_share * table.clearance_mm;
  return Math.abs(offsetOf(table, sighting)) >= least - HAIR_MM;
}

/** Sightings that say where the belt ran: on the loop, and seen at all. */
export function usable(table, sightings) {
  return sightings.filter(
    (one) =>
      one.position_m >= 0 &&
      one.position_m < table.length_m &&
      (Number.isFinite(one.offset_mm) || Boolean(one.degree)),
  );
}

/** What the profile is fitted to: sightings of the belt running with carrying travel. */
export function readingsOf(table, sightings) {
  const kept = sightings.filter((one) => !one.is_running_backwards).sort(byPlace(table));
  if (!kept.length) {
    return { sightings: [], places: [], offsets: [0], rounding: [TELLS_NOTHING_MM2], count: 1 };
  }
  return {
    sightings: kept,
    places: kept.map((one) => ({ position: one.position_m, load: one.load })),
    offsets: kept.map((one) => offsetOf(table, one)),
    rounding: kept.map((one) => rounding(table, one)),
    count: kept.length,
  };
}

function byPlace(table) {
  const key = (one) => [
    one.position_m,
    one.station,
    one.load,
    offsetOf(table, one),
    one.persistence ?? "",
  ];
  return (one, other) => compared(key(one), key(other));
}

export function compared(one, other) {
  for (let at = 0; at < one.length; at += 1) {
    if (one[at] < other[at]) return -1;
    if (one[at] > other[at]) return 1;
  }
  return 0;
}

/** Variance within the noted degree, taken as even. [mm2] */
function rounding(table, sighting) {
  if (Number.isFinite(sighting.offset_mm)) return 0;
  const width = table.constants.readings.width[sighting.degree ?? "centred"];
  return (width * table.clearance_mm) ** 2 / 12;
}
