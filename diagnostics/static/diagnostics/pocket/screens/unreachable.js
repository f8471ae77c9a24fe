// A station that cannot be seen, and why: one press for the usual reasons.

import { button, field, link, make, row } from "../elements.js";
import { hand, tell } from "../hand.js";
import { keepLook } from "../looking.js";
import { placeFrom } from "../route.js";
import { say } from "../words.js";

const REASONS = ["guarded", "too_high", "too_dark", "blocked"];

export function unreachable(parts) {
  const place = placeFrom(hand.kit, parts);
  if (!place) return [make("h1", {}, say("no_such_station"))];
  const other = make("input", { type: "text", maxlength: 200, autocomplete: "off" });
  const keepOther = () => {
    const not_seen_reason = other.value.trim();
    if (not_seen_reason) return keepLook(place, { not_seen_reason });
    tell(say("say_why"));
    other.focus();
    return null;
  };
  return [
    make("p", { class: "dateline" }, place.station),
    make("h1", {}, say("not_reachable_why")),
    make(
      "div",
      { class: "reasons" },
      REASONS.map((key) => button(say(key), () => keepLook(place, { not_seen_reason: say(key) }))),
    ),
    field(say("another_reason"), other),
    row(button(say("keep"), keepOther, { class: "button" }), link(say("back"), `#/${place.path}`)),
  ];
}
