// The case in hand: its kit, its table, how its walk stands; and the one way anything is recorded.

import { carry, kitOf, refresh, tableOf } from "./kits.js";
import { record } from "./outbox.js";
import { entries, isFull } from "./store.js";
import { walkState } from "./walk_state.js";
import { say } from "./words.js";

export const hand = {
  number: "",
  kit: null,
  table: null,
  state: null,
  // Of the look that is being made, until it is kept.
  persistence: "",
  // The look that was kept or taken back last.
  last: null,
  // The station that was on the screen last.
  at: "",
  // Nothing is taken before this instant: the second half of a double tap.
  deafUntil: 0,
};

// Opens a case: from this phone, else from the site.
export async function takeUp(number) {
  const kit = (await kitOf(number)) ?? (await carry(number));
  if (hand.number !== number) Object.assign(hand, { number, persistence: "", last: null, at: "" });
  hand.kit = kit;
  hand.table = await tableOf(number);
  await renew();
}

export async function renew() {
  hand.kit = (await kitOf(hand.number)) ?? hand.kit;
  hand.state = walkState(hand.kit, await entries.of(hand.number));
}

// What others saw meanwhile; where it does not come all stays as it is. Gives why it did not.
export async function hear() {
  try {
    await refresh(hand.number);
  } catch (error) {
    if (!error.reason) throw error;
    return error.reason;
  }
  await renew();
  return "";
}

const NEWS_EVERY_MS = 20_000;
let heardAt = -NEWS_EVERY_MS;

// The same, now and then while there is signal; true when something may have changed.
export async function hearNow({ atOnce = false } = {}) {
  const now = performance.now();
  if (!hand.kit || !navigator.onLine || (!atOnce && now - heardAt < NEWS_EVERY_MS)) return false;
  heardAt = now;
  return !(await hear());
}

let busy = false;

// Records one entry; null when it could not be kept, and then the person was told. `words` says
// what was about to be kept.
export async function keep(kind, body, words, options = {}) {
  if (busy) return null;
  busy = true;
  try {
    const id = await record(hand.number, kind, body, options);
    tell("");
    await renew();
    return id;
  } catch (error) {
    tell(refusal(error, words));
    return null;
  } finally {
    busy = false;
  }
}

function refusal(error, words) {
  const key = isFull(error) ? "storage_full" : "not_kept";
  return say(key, { what: words });
}

// A message that stays until the next thing is kept; read out at once.
export function tell(words) {
  const place = document.getElementById("refusal");
  place.textContent = words;
  place.hidden = !words;
}

// For those who listen: what a tap did.
export function speak(words) {
  document.getElementById("spoken").textContent = words;
}

export function how(changes = {}) {
  const { facing, load, is_running_backwards, stopped_reason, remarks, note } = hand.state.walk;
  return { facing, load, is_running_backwards, stopped_reason, remarks, note, ...changes };
}

export function changePass(changes, words) {
  return keep("pass", { walk: hand.state.walk.id, ...how(changes) }, words);
}
