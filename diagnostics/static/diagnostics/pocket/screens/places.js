// Every stop with what was seen there, and the way to any other place.

import { button, choices, field, link, make, row, section } from "../elements.js";
import { go } from "../going.js";
import { hand, tell } from "../hand.js";
import { atPlace, byPosition, looksOf, named, namesLike } from "../route.js";
import { lookWords, metres, say } from "../words.js";

export function places() {
  const { kit } = hand;
  return [
    make("p", { class: "dateline" }, `${kit.case.number} · ${kit.conveyor.tag}`),
    make("h1", {}, say(kit.stops.length ? "list_of_stops" : "where_are_you")),
    !kit.stops.length && make("p", { class: "amber" }, `${say("no_route")} ${kit.missing ?? ""}`),
    kit.stops.length > 0 && make("ol", { class: "stops" }, kit.stops.map(entry)),
    section(say("another_place"), kit.stops.length ? elsewhere() : unnamed()),
    row(link(say("summary"), "#/summary")),
  ];
}

function entry(stop) {
  const { kit, state } = hand;
  const looks = looksOf(state, state.walk.id, stop.station);
  const seen = looks.map((one) => `${lookWords(one, kit.conveyor)}, ${say(one.load)}`).join("; ");
  return make(
    "li",
    {},
    make(
      "a",
      { href: `#/at/${stop.number}` },
      make("strong", {}, stop.station),
      make("span", { class: "muted figure" }, metres(stop.position_m)),
      seen
        ? make("span", { class: "measured" }, seen)
        : make("span", { class: "muted" }, say("not_looked_at")),
    ),
  );
}

function elsewhere() {
  const name = make("input", { type: "text", maxlength: 48, autocomplete: "off" });
  const metre = make("input", { type: "text", inputmode: "decimal", maxlength: 12, autocomplete: "off" });
  const like = make("div", { class: "like" });
  const byName = () => {
    const place = named(hand.kit, name.value);
    if (place) return go(`#/${place.path}`);
    tell(say("no_station_called", { name: name.value.trim() }));
    const close = namesLike(hand.kit, name.value);
    like.replaceChildren(
      ...(close.length ? [make("p", {}, say("did_you_mean"))] : []),
      ...close.map((one) => link(one, `#/${named(hand.kit, one).path}`)),
    );
    return null;
  };
  const byMetre = () => {
    const place = byPosition(hand.kit, position(metre.value));
    if (place) return go(`#/${place.path}`);
    tell(say("off_the_loop", { length: metres(hand.kit.conveyor.length_m) }));
    return null;
  };
  return make(
    "div",
    { class: "form" },
    field(say("station"), name),
    like,
    button(say("go_there"), byName),
    field(say("loop_position"), metre),
    button(say("go_there"), byMetre, { "aria-label": say("go_to_position") }),
  );
}

// NaN, and so off any loop, when it is no number.
function position(words) {
  const text = words.trim().replace(",", ".");
  return text ? Number(text) : Number.NaN;
}

// The register knows no stations: the person says all of it.
function unnamed() {
  const name = make("input", { type: "text", maxlength: 48, autocomplete: "off" });
  const metre = make("input", { type: "text", inputmode: "decimal", maxlength: 12, autocomplete: "off" });
  let run = "carrying";
  const runs = [
    ["carrying", say("carrying_run")],
    ["return", say("return_run")],
  ];
  const there = () => {
    const position_m = position(metre.value);
    if (!name.value.trim() || !(position_m >= 0)) {
      tell(say("say_name_and_position"));
      return null;
    }
    return go(`#/${atPlace(hand.kit, name.value.trim(), run, position_m).path}`);
  };
  return make(
    "div",
    { class: "form" },
    field(say("station"), name),
    field(say("loop_position"), metre, say("loop_position_help")),
    choices(say("run"), "run", runs, run, (value) => (run = value)),
    button(say("go_there"), there, { class: "button" }),
  );
}
