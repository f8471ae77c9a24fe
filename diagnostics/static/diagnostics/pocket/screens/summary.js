// The whole pass in one screen: seen, skipped, suspected, waiting; and how it ends.

import { button, link, make, row, section } from "../elements.js";
import { again, go } from "../going.js";
import { hand, how, keep } from "../hand.js";
import { nextOpen, stands } from "../route.js";
import { wholeLoop } from "../stretch.js";
import { say } from "../words.js";
import { waiting } from "../outbox.js";
import { isBeyond, lookEntry } from "./kept.js";
import { leftBehind } from "./left_behind.js";
import { suspicionPanel } from "./suspicion_panel.js";
import { recordedHere } from "./taking_back.js";
import { troubles } from "./troubles.js";

export async function summary() {
  const { kit, state, number } = hand;
  const id = state.walk?.id ?? state.lastWalk ?? latestWalk(state) ?? state.left?.id;
  const looks = state.looks.filter((one) => one.walk === id);
  const count = await waiting(number);
  return [
    make("p", { class: "dateline" }, `${kit.case.number} · ${kit.conveyor.tag} ${kit.conveyor.name}`),
    make("h1", {}, say(state.walk || !id ? "the_walk_so_far" : "the_walk_is_finished")),
    figures(looks, count),
    ...(await troubles(kit, state)),
    end(id, await leftBehind(hand)),
    kit.drawing && wholeLoop(hand, looks),
    suspicionPanel(),
    reasons(kit),
    noticedToo(state),
    looks.length
      ? folded(
          say("looks", { count: looks.length }),
          make("ul", { class: "ruled-list looks" }, looks.map(lookEntry)),
          make("p", { class: "muted" }, say("sides_in_travel")),
        )
      : make("p", { class: "empty" }, say("nothing_kept")),
    skipped(looks),
    recordedHere(state),
    outside(number),
  ];
}

// The walk of this person that was seen last, once the site has told that it is finished.
function latestWalk({ looks }) {
  const mine = looks.filter((one) => one.is_mine);
  return mine.sort((one, other) => Date.parse(one.seen_at) - Date.parse(other.seen_at)).at(-1)?.walk;
}

function folded(words, ...inside) {
  return make("details", {}, make("summary", {}, words), ...inside);
}

function figures(looks, count) {
  const { kit, state } = hand;
  const standing = looks.filter((one) => !one.is_taken_back);
  const stations = (some) => new Set(some.map((one) => one.station)).size;
  const seen = stations(standing.filter((one) => !one.not_seen_reason));
  const all = kit.stops.length;
  const facts = [
    [say("stations_looked_at"), all ? say("of_stops", { count: seen, all }) : seen],
    [say("not_reachable"), stations(standing.filter((one) => one.not_seen_reason))],
    [say("close_looks"), state.findings.filter(stands).length],
    [say("photos"), state.photos],
    [say("still_on_this_phone"), count],
    [say("beyond_clearance"), standing.filter(isBeyond).length],
  ];
  return make(
    "dl",
    { class: "facts figures" },
    facts
      .filter(([, value], place) => value || place === 0)
      .map(([term, value]) => make("div", {}, make("dt", {}, term), make("dd", { class: "figure" }, `${value}`))),
  );
}

function end(id, left) {
  const { kit, state } = hand;
  if (state.walk) return going(state.walk, left);
  if (!id || !kit.case.is_open) return null;
  const goOn = async () => {
    if (!(await keep("go-on", { walk: id }, say("the_change")))) return;
    // A walk that was finished on another phone is asked about.
    await go(state.left?.id === id ? onTheBelt(kit, hand.state) : "#/how");
  };
  return row(button(say("not_finished_go_on"), goOn), link(say("begin_another"), "#/before"));
}

function onTheBelt(kit, state) {
  const next = nextOpen(kit, state, state.walk);
  return next ? `#/at/${next.number}` : "#/places";
}

function going(walk, left) {
  const { kit, state } = hand;
  const next = nextOpen(kit, state, walk);
  const other = walk.load === "loaded" ? "empty" : "loaded";
  const finish = async () => {
    if (await keep("finish", { walk: walk.id, how: how() }, say("the_end"))) await again();
  };
  return make(
    "div",
    {},
    kit.stops.length > 0 &&
      !next &&
      make("p", {}, make("strong", {}, say("every_stop_was_seen", { load: say(walk.load) }))),
    // What is still to be done comes before the end.
    left.length > 0 && row(left),
    row(
      button(say("finish"), finish, { class: "button first" }),
      link(say("back_to_belt"), onTheBelt(kit, state)),
      link(say(`once_more_${other}`), `#/how/${other}`),
      link(say("also_noticed"), "#/noticed"),
    ),
  );
}

// The first suspect and why, as far as the site has told.
function reasons({ suspicion: told, checklist }) {
  if (!told?.first) return null;
  const { cause, component } = told.first;
  const name = checklist.find((one) => one.cause === cause)?.name ?? cause;
  return section(
    say("first_suspect"),
    make("p", {}, make("strong", {}, [name, component].filter(Boolean).join(" · "))),
    make("ul", { class: "reasons-told" }, told.reasons.map((one) => make("li", {}, one))),
  );
}

function skipped(looks) {
  const { kit, state } = hand;
  const seen = new Set(looks.filter((one) => !one.is_taken_back).map((one) => one.station));
  const left = kit.stops.filter((stop) => !seen.has(stop.station));
  if (!looks.length || !left.length) return null;
  const names = left.map((stop) =>
    state.walk ? link(stop.station, `#/at/${stop.number}`) : make("span", {}, stop.station),
  );
  return folded(say("stops_skipped", { count: left.length }), make("div", { class: "skipped" }, names));
}

function noticedToo({ walk }) {
  if (!walk?.remarks.length && !walk?.note) return null;
  const words = new Map(hand.kit.remarks);
  return section(
    say("also_noticed"),
    make("ul", {}, walk.remarks.map((one) => make("li", {}, words.get(one) ?? one))),
    walk.note && make("p", {}, walk.note),
  );
}

function outside(number) {
  const path = `/cases/${encodeURIComponent(number)}/`;
  return navigator.onLine
    ? row(link(say("report_pdf"), `${path}report.pdf`), link(say("case_page"), path), link(say("to_the_cases"), "/walk/"))
    : row(make("p", { class: "muted" }, say("report_needs_signal")), link(say("to_the_cases"), "/walk/"));
}
