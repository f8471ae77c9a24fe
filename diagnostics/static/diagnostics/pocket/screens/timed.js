// A timed look at one station: the whole screen is its own.

import { link, make, row } from "../elements.js";
import { go } from "../going.js";
import { hand, keep, speak } from "../hand.js";
import { placeFrom } from "../route.js";
import { openTimedLook } from "../timed/timed_look.js";
import { say, timedWords } from "../words.js";

export function timed(parts) {
  const { kit } = hand;
  const place = placeFrom(kit, parts);
  if (!place) return [make("h1", {}, say("no_such_station")), row(link(say("list_of_stops"), "#/places"))];
  const what = say("timed_look_at", { place: place.station });
  const root = make("div", { class: "timed" });
  return [make("h1", {}, what), root, () => open(root, place, what)];
}

function open(root, place, what) {
  const { kit, state } = hand;
  const { station, run, position_m } = place;
  // The dialog has the screen to itself, and a heading of its own.
  root.previousElementSibling.remove();
  const { load, facing, is_running_backwards: isRunningBackwards } = state.walk;
  const about = { kit, place: { station, run, position_m }, load, isRunningBackwards, facing };
  let isLeft = false;
  const back = () => {
    if (!isLeft) go(`#/${place.path}`, { instead: true });
  };
  const onKeep = async (body, { id } = {}) => {
    if (!(await keep("taps", body, what, id ? { id } : {}))) throw new Error(say("not_kept", { what }));
    speak(say("kept", { what }));
    // Only after the look has put its own things away.
    setTimeout(back);
  };
  // The cautions of the walk were acknowledged when it was begun.
  const opened = openTimedLook(
    root,
    { ...about, words: timedWords, cautionsRead: true },
    { onKeep, onCancel: back },
  );
  return () => {
    isLeft = true;
    opened?.close();
  };
}
