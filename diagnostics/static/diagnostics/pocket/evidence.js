// Everything that counts on this phone as evidence for the ranking: what the site told, and what
// was recorded here since.

import { stands } from "./route.js";
import { together, weighTaps } from "./timed/reading.js";

export function evidenceOf(kit, state) {
  const told = kit.evidence;
  return {
    log_priors: told.log_priors,
    travel: travelOf(kit, state),
    remarks: [...new Set([...told.remarks, ...(state.walk?.remarks ?? [])])],
    findings: state.findings.filter(stands).map(findingFact),
    sightings: standingLooks(state.looks),
  };
}

function findingFact({ cause, is_present, component, place }) {
  return { cause, is_present, component: component ?? place ?? "" };
}

// Not taken back, and of the same station, load and direction only the latest. After a mend that
// did not hold, what was seen before it counts no more once something was seen since.
export function standingLooks(looks) {
  const standing = looks.filter((one) => stands(one) && !one.not_seen_reason);
  const since = standing.filter((one) => !one.is_before_mend);
  const latest = new Map();
  for (const one of since.length ? since : standing) {
    const key = [one.station.toLowerCase(), one.load, one.is_running_backwards].join("\n");
    const other = latest.get(key);
    if (!other || Date.parse(other.seen_at) <= Date.parse(one.seen_at)) latest.set(key, one);
  }
  return [...latest.values()];
}

// The site's timed looks, and those that still wait here.
function travelOf({ conveyor, evidence }, { taps }) {
  const belt = {
    beltLengthM: conveyor.belt_length_m,
    speedMps: conveyor.speed_mps,
    splicesM: conveyor.splices_m,
  };
  const here = taps.filter((one) => stands(one) && !one.isInKit).map((one) => read(one, belt));
  return together([evidence.travel, ...here].filter(Boolean));
}

// Each look is read once: on a slow phone it takes its time.
const known = new Map();

function read(look, belt) {
  if (!known.has(look.id)) {
    const stood = { positionM: look.position_m, isRunningBackwards: look.is_running_backwards };
    known.set(look.id, weighTaps(look.taps, look.duration_s, { ...belt, ...stood })?.travel);
  }
  return known.get(look.id);
}
