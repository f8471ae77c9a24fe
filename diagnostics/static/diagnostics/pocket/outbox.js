// Entries on their way to the site: kept on the phone first, sent in order, each once.
// The entry's own id makes sending it twice harmless: the site keeps it once.

import { entries, kits, newId } from "./store.js";
import { ask, skewMs, state, Unreached } from "./site.js";

const MOST_AT_ONCE = 25;
const FIRST_WAIT_MS = 4_000;
const LONGEST_WAIT_MS = 60_000;
// A photo on a bad line takes its time.
const PATIENCE_MS = 120_000;

// Fires "change" with detail {waiting, troubles, sending, reason}; reason is "" while all is well,
// else "offline", "signed-out", "server", "other-person" or "not-allowed".
export const outbox = new EventTarget();

let reason = "";
let sending = false;
let timer = null;
let waitMs = FIRST_WAIT_MS;

// Resolves with the entry's id once it is safe on the phone; rejects when the phone has no room.
export async function record(number, kind, body, { blob = null, id = newId() } = {}) {
  const kept = await kits.get(number);
  await entries.put({
    id,
    number,
    kind,
    body,
    person: kept?.kit.person.key ?? "",
    madeAt: Date.now() + (await skewMs()),
    notBefore: Date.parse(kept?.kit.made_at ?? "") || 0,
    state: "waiting",
    bytes: blob ? await blob.arrayBuffer() : null,
    type: blob?.type ?? "",
  });
  await tell();
  flush();
  return id;
}

export async function waiting(number) {
  return (await inState("waiting", number)).length;
}

// What the site would not simply keep: contested looks and refused entries.
export async function troubles(number) {
  return [...(await inState("contested", number)), ...(await inState("refused", number))];
}

async function inState(wanted, number) {
  const all = number ? await entries.of(number) : await entries.all();
  return all.filter((one) => one.state === wanted);
}

// A person's word on an entry in trouble: "again" sends it anew, "done" lets go of it here.
export async function settle(id, how) {
  const entry = (await entries.all()).find((one) => one.id === id);
  if (!entry) return;
  if (how === "again") await entries.put({ ...entry, state: "waiting", text: "" });
  else if (entry.state === "contested") await entries.put({ ...entry, state: "kept" });
  else await entries.drop(entry.order);
  await tell();
  flush();
}

// Of several calls while one is under way, one more round follows.
let running = null;
let wanted = false;

export function flush() {
  wanted = true;
  running ??= rounds().finally(() => {
    running = null;
  });
  return running;
}

async function rounds() {
  while (wanted) {
    wanted = false;
    // Of several open tabs one sends.
    if (navigator.locks) await navigator.locks.request("loopwright-outbox", sendAll);
    else await sendAll();
  }
}

async function sendAll() {
  clearTimeout(timer);
  if (!(await inState("waiting")).length) return tell("");
  sending = true;
  try {
    const site = await state();
    if (!site.may_walk) throw new Unreached("not-allowed");
    await tell(await sendInOrder(site));
    waitMs = FIRST_WAIT_MS;
  } catch (error) {
    if (!(error instanceof Unreached)) throw error;
    tryLater();
    await tell(error.reason);
  } finally {
    sending = false;
    await tell(reason);
  }
}

function tryLater() {
  timer = setTimeout(flush, waitMs);
  waitMs = Math.min(waitMs * 2, LONGEST_WAIT_MS);
}

async function sendInOrder(site) {
  let left = "";
  for (;;) {
    const all = await inState("waiting");
    const mine = all.filter((one) => !one.person || one.person === site.person.key);
    if (mine.length < all.length) left = "other-person";
    if (!mine.length) return left;
    await sendSome(nextOf(mine), site);
    await tell(left);
  }
}

// The first entry with those behind it that may go along: same case, no photo.
function nextOf(waits) {
  const [first] = waits;
  if (first.bytes) return [first];
  const end = waits.findIndex((one) => one.bytes || one.number !== first.number);
  return waits.slice(0, Math.min(end < 0 ? waits.length : end, MOST_AT_ONCE));
}

async function sendSome(some, site) {
  const [first] = some;
  const told = some.map((one) => ({
    id: one.id,
    kind: one.kind,
    body: one.body,
    age_s: ageS(one, site),
  }));
  const options = { method: "POST", patience: PATIENCE_MS, headers: { "X-CSRFToken": site.csrf } };
  if (first.bytes) {
    options.body = new FormData();
    options.body.set("person", site.person.key);
    options.body.set("entry", JSON.stringify(told[0]));
    options.body.set("photo", new Blob([first.bytes], { type: first.type }), "photo.jpg");
  } else {
    options.body = JSON.stringify({ person: site.person.key, entries: told });
    options.headers["Content-Type"] = "application/json";
  }
  const results = await answerTo(first.number, options, some);
  const found = new Map(results.map((one) => [one.id, one]));
  for (const one of some) {
    const result = found.get(one.id);
    if (result) await entries.put(after(one, result));
  }
  // An answer that tells of none of them would be asked for ever.
  if (!some.some((one) => found.has(one.id))) throw new Unreached("server");
}

async function answerTo(number, options, some) {
  const address = `/pocket/${encodeURIComponent(number)}/entries/`;
  let answer;
  try {
    answer = await ask(address, options);
  } catch (error) {
    // A token grown old: asked anew next time.
    if (error.reason === "not-allowed") throw new Unreached("server");
    if (error.reason !== "gone") throw error;
    return some.map(({ id }) => ({ id, outcome: "refused", code: "case_missing", text: "" }));
  }
  // Somebody else signed in meanwhile: asked anew next time.
  if (answer.status === 409) throw new Unreached("server");
  if (answer.ok) return (await answer.json()).results;
  const text = await answer.text();
  return some.map(({ id }) => ({ id, outcome: "refused", code: "unreadable", text }));
}

function after(entry, result) {
  const isKept = result.outcome === "kept" || result.outcome === "known";
  return {
    ...entry,
    state: isKept ? "kept" : result.outcome,
    code: result.code ?? "",
    text: result.text ?? "",
    theirs: result.theirs ?? null,
    sentAt: Date.now(),
    // The site has the picture now; the phone needs its room.
    bytes: isKept ? null : entry.bytes,
  };
}

// By the site's clock throughout: what this phone's own says may be hours off.
function ageS(entry, site) {
  const now = Date.now() + site.skewMs;
  const madeAt = Math.max(entry.madeAt, entry.notBefore);
  return Math.max((now - madeAt) / 1000, 0);
}

async function tell(why = reason) {
  reason = why;
  const all = await entries.all();
  const count = (state) => all.filter((one) => one.state === state).length;
  const detail = {
    waiting: count("waiting"),
    troubles: count("contested") + count("refused"),
    sending,
    reason,
  };
  outbox.dispatchEvent(new CustomEvent("change", { detail }));
  return detail;
}

// Begins to send by itself: at once, when signal comes back, when the page is looked at again.
export function keepSending() {
  addEventListener("online", () => {
    waitMs = FIRST_WAIT_MS;
    flush();
  });
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") flush();
  });
  flush();
}
