// Timed looks that were begun and left: the way back to their taps, or how there comes to be one.

import { link, make } from "../elements.js";
import { atPlace } from "../route.js";
import { unfinishedTimedLooks } from "../timed/timed_look.js";
import { say } from "../words.js";

export async function leftBehind({ kit, state }) {
  return (await unfinishedTimedLooks(kit)).map(({ place: { station, run, position_m }, taps }) =>
    state.walk
      ? link(
          say("timed_look_unfinished", { place: station, taps }),
          `#/taps/${atPlace(kit, station, run, position_m).path}`,
        )
      : make("p", { class: "amber" }, say("timed_look_waits", { place: station, taps })),
  );
}
