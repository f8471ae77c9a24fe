// What was recorded on this phone besides looks, each with its way back.

import { button, make, section } from "../elements.js";
import { again } from "../going.js";
import { hand, keep, speak } from "../hand.js";
import { say } from "../words.js";

// `kind` as an entry names it; null for what others recorded.
export function wayBack(kind, one, what) {
  if (!one.is_mine || !hand.kit.case.is_open) return null;
  const counts = one.is_taken_back;
  const id = `back-${one.id}`;
  const press = async () => {
    if (!(await keep("count", { [kind]: one.id, counts }, what))) return;
    speak(say(counts ? "counts_again" : "taken_back", { what }));
    await again(`#${id}`);
  };
  const name = say(counts ? "count_again" : "take_back");
  return button([name, make("span", { class: "unseen" }, ` ${what}`)], press, { id });
}

export function recordedHere({ photosHere, taps }) {
  if (!photosHere.length && !taps.length) return null;
  return section(
    say("recorded_here"),
    make(
      "ul",
      { class: "ruled-list" },
      taps.map((one) => entry("taps", one, say("timed_look_at", { place: one.station }), one.note)),
      photosHere.map((one, place) => {
        const number = say("photo_number", { number: place + 1 });
        return entry("photo", one, number, [one.place, one.caption].filter(Boolean).join(", "));
      }),
    ),
  );
}

function entry(kind, one, what, more) {
  return make(
    "li",
    { class: one.is_taken_back ? "look is-taken-back" : "look" },
    make(
      "span",
      {},
      make("strong", {}, what),
      more && make("span", { class: "muted" }, ` ${more}`),
      one.waits && make("span", { class: "muted" }, ` · ${say("on_this_phone")}`),
    ),
    wayBack(kind, one, what),
  );
}
