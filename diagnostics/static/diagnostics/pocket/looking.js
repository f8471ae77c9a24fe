// One look: put into the convention of the record, kept, and on to the next stop.

import { go } from "./going.js";
import { hand, keep, speak } from "./hand.js";
import { beside, nextOpen, numberBefore } from "./route.js";
import { lookWords, say, turned } from "./words.js";

// The second half of a double tap would land on the next station's keys. [ms]
const DEAF_MS = 350;
// Felt through a glove where the noise drowns everything. [ms]
const BUZZ_MS = 20;

// `seen`: {degree, side} with the side as the person sees it, {offset_mm, side}, or
// {not_seen_reason}; `note` may come with any.
export async function keepLook(place, seen) {
  const { kit, state } = hand;
  const { facing, load, is_running_backwards, id } = state.walk;
  const side = seen.side ? turned(seen.side, facing) : null;
  const body = {
    walk: id,
    station: place.station,
    run: place.run,
    position_m: place.position_m,
    load,
    offset_mm: seen.offset_mm === undefined ? null : signed(seen.offset_mm, side),
    degree: seen.degree ?? null,
    side: seen.degree && seen.degree !== "centred" ? side : null,
    persistence: seen.not_seen_reason ? null : hand.persistence || null,
    is_running_backwards,
    not_seen_reason: seen.not_seen_reason ?? "",
    note: seen.note ?? "",
  };
  body.beside = beside(state, body);
  const words = `${place.station} ${lookWords(body, kit.conveyor, facing)}`;
  const look = await keep("look", body, words);
  if (!look) return;
  Object.assign(hand, { persistence: "", last: look, deafUntil: performance.now() + DEAF_MS });
  speak(say("kept", { what: words }));
  navigator.vibrate?.(BUZZ_MS);
  await onward(place);
}

// Right is positive, and there is no minus zero.
const signed = (size_mm, side) => (side === "left" && size_mm ? -size_mm : size_mm);

function onward(place) {
  const { kit, state } = hand;
  if (!kit.stops.length) return go("#/places");
  const next = nextOpen(kit, state, state.walk, numberBefore(kit, place));
  return go(next ? `#/at/${next.number}` : "#/summary");
}

// Takes a look back, or counts it again.
export async function count(look, counts) {
  const what = `${look.station} ${lookWords(look, hand.kit.conveyor, hand.state.walk?.facing)}`;
  if (!(await keep("count", { look: look.id, counts }, what))) return false;
  hand.last = look.id;
  speak(say(counts ? "counts_again" : "taken_back", { what }));
  return true;
}
