// One station of the walk: where it is, what lies ahead, and one tap for where the belt runs.

import { link, make, row } from "../elements.js";
import { hand } from "../hand.js";
import { isOpen, looksOf, nextOpen } from "../route.js";
import { stretchAhead } from "../stretch.js";
import { circumstances, lookWords, metres, persistences, say } from "../words.js";
import { unfinishedTimedLooks } from "../timed/timed_look.js";
import { columns } from "./columns.js";
import { keptLine, lookEntry } from "./kept.js";
import { isFor, notes } from "./notes.js";
import { stand, stoppedNotice, turnQuestion } from "./stand.js";
import { suspicionPanel } from "./suspicion_panel.js";

export async function station(_parts, place) {
  if (!place) return notThere();
  const { kit, state } = hand;
  hand.at = place.path;
  const question = await turnQuestion(kit, state.walk, place);
  return [
    heading(place),
    stoppedNotice(state.walk),
    kit.stops.length > 0 && stretchAhead(hand, place),
    keptLine(),
    ...(question ? [question] : [stand(kit, state.walk), persistence(), columns(place)]),
    along(place),
    notes(isFor(place)),
    suspicionPanel(),
    keptHere(place),
    others(place),
  ];
}

function notThere() {
  return [make("h1", {}, say("no_such_station")), row(link(say("list_of_stops"), "#/places"))];
}

function heading(place) {
  const { kit } = hand;
  const run = say(place.run === "return" ? "return_run" : "carrying_run");
  const all = kit.stops.length;
  const where = [place.kind_words, run, metres(place.position_m)].filter(Boolean).join(", ");
  return make(
    "div",
    { class: "heading" },
    make("h1", {}, place.station),
    make("p", { class: "where" }, where),
    place.stop && make("p", { class: "count" }, say("stop_of", { here: place.stop.number, all })),
  );
}

// Chosen before the tap; it counts for the next look only.
function persistence() {
  const options = persistences().map(([value, words]) =>
    make(
      "label",
      { class: "choice" },
      make("input", {
        type: "radio",
        name: "persistence",
        value,
        checked: hand.persistence === value,
        onchange: () => (hand.persistence = value),
      }),
      make("span", {}, words),
    ),
  );
  return make("fieldset", { class: "persistence" }, make("legend", {}, say("watched_it_is")), options);
}

function along(place) {
  const { kit, state } = hand;
  const number = place.stop?.number ?? 0;
  const next = place.stop ? kit.stops[number] : nextOpen(kit, state, state.walk);
  return make(
    "nav",
    { class: "steps-along", "aria-label": say("along_the_route") },
    number > 1 && link(`◀ ${say("back")}`, `#/at/${number - 1}`),
    link(say("list_of_stops"), "#/places"),
    next
      ? link(`${say(place.stop && isOpen(state, state.walk, place.stop) ? "skip" : "next")} ▶`, `#/at/${next.number}`)
      : link(say("to_the_end"), "#/summary"),
  );
}

function keptHere(place) {
  const looks = looksOf(hand.state, hand.state.walk.id, place.station);
  const theirs = hand.state.looks.filter(
    (one) => !one.is_taken_back && one.walk !== hand.state.walk.id && one.station === place.station,
  );
  if (!looks.length && !theirs.length) return null;
  return make(
    "div",
    { class: "kept-here" },
    looks.length > 0 && make("h2", {}, say("kept_here")),
    looks.length > 0 && make("ul", { class: "ruled-list" }, looks.map(lookEntry)),
    theirs.length > 0 && make("h2", {}, say("seen_here_before")),
    theirs.length > 0 &&
      make(
        "ul",
        { class: "ruled-list" },
        theirs.map((one) =>
          make(
            "li",
            {},
            make("span", { class: "measured" }, lookWords(one, hand.kit.conveyor)),
            ` ${circumstances(one)}${one.by ? ` · ${one.by}` : ""}`,
          ),
        ),
      ),
  );
}

// Taps that were left behind are named once the screen is there: a tap does not wait for it.
function timing({ station: name, path }) {
  const way = link(say("time_this_station"), `#/taps/${path}`);
  setTimeout(async () => {
    const left = (await unfinishedTimedLooks(hand.kit)).find(({ place }) => place.station === name);
    if (left) way.textContent = say("go_on_timing", { taps: left.taps });
  });
  return way;
}

function others(place) {
  const { path } = place;
  return make(
    "nav",
    { class: "more", "aria-label": say("more_for_this_place") },
    link(say("close_looks"), `#/findings/${path}`),
    link(say("photo_here"), `#/photo/${path}`),
    timing(place),
    link(say("not_reachable"), `#/unseen/${path}`),
    link(say("also_noticed"), "#/noticed"),
    link(say("summary"), "#/summary"),
    link(say("to_the_case"), "#/"),
  );
}
