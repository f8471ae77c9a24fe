// What to look at closely: the suspects first, then what can be wrong with what stands here, then all.

import { field, link, make, row, section } from "../elements.js";
import { hand } from "../hand.js";
import { placeFrom } from "../route.js";
import { suspicion } from "../suspicion.js";
import { metres, percent, say } from "../words.js";
import { wayBack } from "./taking_back.js";

const SUSPECTS = 6;
const FOUND = 12;

export function findings(parts) {
  const { kit, state } = hand;
  const place = placeFrom(kit, parts);
  const known = new Map(kit.checklist.map((one) => [one.cause, one]));
  const suspects = (suspicion(hand)?.places ?? kit.suspects).filter((one) => known.has(one.cause));
  const here = place ? kit.checklist.filter((one) => one.stands_at.includes(place.kind)) : [];
  return [
    make("p", { class: "dateline" }, `${kit.case.number} · ${kit.conveyor.tag}`),
    make("h1", {}, say("close_looks")),
    // First, so that whoever has just answered sees it kept, and the way back.
    state.findings.length > 0 && section(say("looked_at_closely"), list(state.findings.map(done(known)))),
    section(
      say("suspected"),
      suspects.length
        ? list(suspects.slice(0, SUSPECTS).map((one) => suspect(one, known.get(one.cause), parts)))
        : make("p", { class: "empty" }, say(suspicion(hand) ? "nothing_suspected" : "no_table")),
    ),
    here.length > 0 &&
      section(
        say("what_can_be_at", { place: place.station }),
        list(here.map((one) => entry(one, place.station, parts))),
      ),
    section(say("look_for_another"), search(kit, place, parts)),
    row(link(say("back"), place && state.walk ? `#/${place.path}` : "#/")),
  ];
}

const list = (entries) => make("ul", { class: "ruled-list checks" }, entries);

function suspect(one, cause, parts) {
  const more = [one.component, one.position_m !== null && metres(one.position_m), percent(one.probability)];
  return entry(cause, one.component ?? "", parts, more.filter(Boolean).join(" · "));
}

function entry(cause, component, parts, more = "") {
  const last = looked(cause.cause, component);
  const way = parts.length ? `/${parts.map(encodeURIComponent).join("/")}` : "";
  return make(
    "li",
    {},
    make(
      "a",
      { href: `#/finding/${cause.cause}/${encodeURIComponent(component)}${way}` },
      make("strong", {}, cause.name),
      more && make("span", { class: "muted" }, ` ${more}`),
      cause.needs_stop && make("span", { class: "amber" }, ` ${say("belt_stopped_locked")}`),
      last && make("span", { class: "measured" }, ` ${say(last.is_present ? "looked_yes" : "looked_no")}`),
    ),
  );
}

export function looked(cause, component) {
  const same = (one) => (one.component ?? one.place ?? "") === component;
  return hand.state.findings
    .filter((one) => one.cause === cause && !one.is_taken_back && same(one))
    .at(-1);
}

const done = (known) => (one) => {
  const name = known.get(one.cause)?.name ?? one.cause;
  const place = one.component ?? one.place ?? "";
  return make(
    "li",
    { class: one.is_taken_back ? "look is-taken-back" : "look" },
    make(
      "span",
      {},
      make("strong", {}, name),
      ` ${place} `,
      make("span", { class: "measured" }, say(one.is_present ? "looked_yes" : "looked_no")),
      one.note && make("span", { class: "muted" }, ` ${one.note}`),
      one.waits && make("span", { class: "muted" }, ` · ${say("on_this_phone")}`),
    ),
    wayBack("finding", one, `${name} ${place}`.trim()),
  );
};

function search(kit, place, parts) {
  const box = make("input", { type: "search", autocomplete: "off" });
  const found = make("div", { "aria-live": "polite" });
  const show = () => {
    const wanted = box.value.trim().toLowerCase();
    const words = (one) => `${one.name} ${kit.class_words[one.class] ?? ""} ${one.what}`.toLowerCase();
    const hits = wanted ? kit.checklist.filter((one) => words(one).includes(wanted)) : [];
    found.replaceChildren(
      hits.length
        ? list(hits.slice(0, FOUND).map((one) => entry(one, place?.station ?? "", parts)))
        : make("p", { class: "muted" }, wanted ? say("nothing_found") : say("search_help")),
    );
  };
  box.addEventListener("input", show);
  show();
  return make("div", {}, field(say("search_causes"), box), found);
}
