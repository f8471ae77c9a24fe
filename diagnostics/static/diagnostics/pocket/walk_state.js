// How a walk stands on this phone: what the site told, and what was recorded here since.
// Pure: kit and entries in, everything a screen shows out.

const HOW = {
  facing: "head",
  load: "loaded",
  is_running_backwards: false,
  stopped_reason: "",
  remarks: [],
  note: "",
};

// walk: {id, facing, load, is_running_backwards, stopped_reason, remarks, note} of this person's
// unfinished walk-down, or null. looks: as in the kit, each with `waits`. `finished`: ids.
export function walkState(kit, entries) {
  const standing = {
    walk: kit.walk ? { ...HOW, ...kit.walk } : null,
    lastWalk: kit.walk?.id ?? null,
    looks: kit.looks.map((one) => ({ ...one, waits: false })),
    findings: kit.findings.map((one) => ({ ...one, waits: false })),
    photos: kit.photos,
    taps: [],
    finished: null,
  };
  for (const entry of entries) {
    if (entry.state !== "refused") after[entry.kind]?.(standing, entry, kit);
  }
  return standing;
}

const after = {
  begin(standing, { id, body }) {
    // A belt that stands still is a walk-down that is over with its reason.
    standing.walk = body.stopped_reason ? null : { ...HOW, ...body, id };
    standing.lastWalk = id;
    standing.finished = null;
  },
  pass(standing, { body }) {
    if (standing.walk?.id === body.walk) standing.walk = { ...standing.walk, ...body };
  },
  look(standing, entry, kit) {
    if (standing.looks.some((one) => one.id === entry.id)) return;
    standing.looks.push({
      differs_from: null,
      ...entry.body,
      id: entry.id,
      seen_at: new Date(entry.madeAt).toISOString(),
      by: kit.person.name,
      is_mine: true,
      is_taken_back: entry.state === "contested",
      waits: entry.state === "waiting",
    });
  },
  count(standing, { body }) {
    const look = standing.looks.find((one) => one.id === body.look);
    if (look) look.is_taken_back = !body.counts;
  },
  choose(standing, { body }) {
    const counts = { [body.mine]: body.counts !== "theirs", [body.theirs]: body.counts !== "mine" };
    for (const one of standing.looks) {
      if (one.id in counts) one.is_taken_back = !counts[one.id];
    }
  },
  finding(standing, entry, kit) {
    if (standing.findings.some((one) => one.id === entry.id)) return;
    const waits = entry.state === "waiting";
    standing.findings.push({ ...entry.body, id: entry.id, by: kit.person.name, waits });
  },
  photo(standing, entry) {
    if (entry.state === "waiting") standing.photos += 1;
  },
  taps(standing, entry) {
    standing.taps.push({ ...entry.body, id: entry.id, waits: entry.state === "waiting" });
  },
  finish(standing, { body }) {
    if (standing.walk?.id !== body.walk) return;
    standing.finished = body.walk;
    standing.walk = null;
  },
  "go-on"(standing, { body }) {
    standing.walk = { ...HOW, ...standing.walk, id: body.walk, ...body.how };
    standing.finished = null;
  },
};
