// A case before the walk: what was said, what is known, what is suspected, whether all is here.

import { button, link, make, row, section } from "../elements.js";
import { again, go } from "../going.js";
import { hand, hear, tell } from "../hand.js";
import { canBeKept, isKept, whenKept } from "../keeping_page.js";
import { nextOpen } from "../route.js";
import { suspicion } from "../suspicion.js";
import { notFetched, plantTime, say } from "../words.js";
import { leftBehind } from "./left_behind.js";
import { shares } from "./suspicion_panel.js";

export async function opening() {
  const { kit, state } = hand;
  const { case: it, conveyor } = kit;
  return [
    make("p", { class: "dateline" }, `${it.number} · ${it.state_words ?? it.state}`),
    make("h1", {}, `${conveyor.tag} ${conveyor.name}`),
    make("p", { class: "asks" }, it.summary),
    await ready(kit),
    it.is_open ? await begin(kit, state) : make("p", { class: "refusal" }, say("case_is_closed")),
    section(say("what_was_said"), quotes(it.complaints)),
    it.known.length > 0 && section(say("what_is_known"), list(it.known)),
    section(say("what_is_suspected"), shares(suspicion(hand), kit)),
    row(
      link(say("close_looks"), "#/findings"),
      link(say("photos"), "#/photo"),
      link(say("summary"), "#/summary"),
      link(say("to_the_cases"), "/walk/"),
    ),
  ];
}

async function ready(kit) {
  return make(
    "div",
    { class: "ready" },
    await readiness(plantTime(kit.made_at, kit.plant.zone)),
    button(say("fetch_anew"), fetchAnew),
  );
}

// The case is here; the page itself may still be on its way.
async function readiness(at) {
  if (!canBeKept()) return make("p", {}, say("read_at", { at }));
  const line = make("p", { role: "status" });
  const tell = () => {
    line.replaceChildren(make("span", { "aria-hidden": "true" }, "✓ "), say("ready_without_signal", { at }));
  };
  if (await isKept()) tell();
  else {
    line.replaceChildren(make("span", { "aria-hidden": "true" }, "… "), say("page_on_its_way"));
    whenKept(tell);
  }
  return line;
}

async function fetchAnew() {
  const reason = await hear();
  if (!reason) await again();
  else tell(notFetched(reason, hand.number));
}

async function begin(kit, state) {
  const left = await leftBehind(hand);
  if (!state.walk) return row(link(say("begin"), "#/before", { class: "button first" }), left);
  const next = nextOpen(kit, state, state.walk) ?? kit.stops[0];
  const path = next ? `#/at/${next.number}` : "#/places";
  return row(
    button(say("go_on_walking"), () => go(path), { class: "button first" }),
    left,
    make("p", { class: "muted" }, say("begun_already")),
  );
}

function quotes(complaints) {
  if (!complaints.length) return make("p", { class: "empty" }, say("nothing_was_said"));
  return complaints.map(({ words, by, at }) => {
    const who = [by, at].filter(Boolean).join(", ");
    return make(
      "blockquote",
      { class: "words-said" },
      make("p", {}, words),
      who && make("footer", { class: "muted" }, who),
    );
  });
}

function list(sentences) {
  return make("ul", {}, sentences.map((one) => make("li", {}, one)));
}
