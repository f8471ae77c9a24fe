// A timed look at one station: the whole screen is its own.

import { link, make, row } from "../elements.js";
import { go } from "../going.js";
import { hand, keep, speak } from "../hand.js";
import { placeFrom } from "../route.js";
import { openTimedLook } from "../timed/timed_look.js";
import { all, say } from "../words.js";

export function timed(parts) {
  const { kit, state } = hand;
  const place = placeFrom(kit, parts);
  if (!place) return [make("h1", {}, say("no_such_station")), row(link(say("list_of_stops"), "#/places"))];
  const root = make("div", { class: "timed" });
  const { station, run, position_m } = place;
  const { load, facing, is_running_backwards } = state.walk;
  const back = () => go(`#/${place.path}`, { instead: true });
  const onKeep = async (body) => {
    const what = say("timed_look_at", { place: station });
    if (!(await keep("taps", body, what))) return;
    speak(say("kept", { what }));
    await back();
  };
  openTimedLook(
    root,
    {
      kit,
      place: { station, run, position_m },
      load,
      isRunningBackwards: is_running_backwards,
      facing,
      words: all,
    },
    { onKeep, onCancel: back },
  );
  return [make("h1", {}, say("timed_look_at", { place: station })), root];
}
