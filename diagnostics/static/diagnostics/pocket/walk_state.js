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
// unfinished walk-down, or null; `left` is the same of the one that was finished last. looks: as in
// the kit, each with `waits`. `finished`: ids. What was recorded on this phone is `is_mine`.
export function walkState(kit, entries) {
  const standing = {
    walk: kit.walk ? { ...HOW, ...kit.walk } : null,
    lastWalk: kit.walk?.id ?? null,
    looks: kit.looks.map((one) => ({ ...one, waits: false })),
    findings: kit.findings.map((one) => ({ ...one, waits: false })),
    photos: 0,
    photosHere: [],
    taps: [],
    left: null,
    finished: null,
  };
  for (const entry of entries) {
    if (entry.state !== "refused") after[entry.kind]?.(standing, entry, kit);
  }
  const here = standing.photosHere;
  const isHere = (id) => here.some((one) => one.id === id);
  standing.photos = photoIds(kit).filter((id) => !isHere(id)).length + here.filter(stands).length;
  return standing;
}

const stands = (one) => !one.is_taken_back;

// A kit from before the site told them has none.
const photoIds = (kit) => kit.photo_ids ?? [];

// What the phone holds of its own record; `isInKit` when the site tells of it as well.
function recorded(entry, kit) {
  const isInKit = entry.state === "told";
  const waits = entry.state === "waiting";
  const is_mine = !entry.person || entry.person === kit.person.key;
  return { ...entry.body, id: entry.id, waits, is_mine, isInKit, is_taken_back: false };
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
  count(standing, { body, state }) {
    const isTold = state === "told";
    // Of looks, findings and photos the site tells itself whether they count.
    if (isTold && body.photo) return;
    const of = (all, id) => all.find((one) => id && one.id === id);
    const own = of(standing.photosHere, body.photo) ?? of(standing.taps, body.taps);
    const one = own ?? (isTold ? null : of(standing.looks, body.look) ?? of(standing.findings, body.finding));
    if (one) one.is_taken_back = !body.counts;
    if (own && isTold) own.isInKit = body.counts;
  },
  choose(standing, { body }) {
    const counts = { [body.mine]: body.counts !== "theirs", [body.theirs]: body.counts !== "mine" };
    for (const one of standing.looks) {
      if (one.id in counts) one.is_taken_back = !counts[one.id];
    }
  },
  finding(standing, entry, kit) {
    const own = recorded(entry, kit);
    const known = standing.findings.find((one) => one.id === entry.id);
    if (known) known.is_mine = own.is_mine;
    // The site tells of those that count only.
    else standing.findings.push({ ...own, by: kit.person.name, is_taken_back: own.isInKit });
  },
  photo(standing, entry, kit) {
    const own = recorded(entry, kit);
    own.is_taken_back = own.isInKit && !photoIds(kit).includes(own.id);
    standing.photosHere.push(own);
  },
  taps(standing, entry, kit) {
    standing.taps.push(recorded(entry, kit));
  },
  finish(standing, { body, state }) {
    // As the walk stood then: whoever goes on after all, goes on with it.
    if (state === "told" || standing.walk?.id !== body.walk) {
      if (body.how) standing.left = { ...HOW, ...body.how, id: body.walk };
      return;
    }
    standing.left = standing.walk;
    standing.finished = body.walk;
    standing.walk = null;
  },
  "go-on"(standing, { body }) {
    const left = standing.left?.id === body.walk ? standing.left : standing.walk;
    standing.walk = { ...HOW, ...left, id: body.walk };
    standing.finished = null;
  },
};
