// What is suspected so far, in words and bars of ink, and the look that would tell most.

import { button, draw, make, section } from "../elements.js";
import { go } from "../going.js";
import { hand } from "../hand.js";
import { atPlace } from "../route.js";
import { suspicion } from "../suspicion.js";
import { metres, percent, say } from "../words.js";

const SHOWN = 3;

// Reckoned once the screen is there: a tap does not wait for it.
export function suspicionPanel() {
  const panel = section(say("suspected_so_far"));
  setTimeout(() => {
    const found = suspicion(hand);
    panel.append(shares(found, hand.kit), ...(found ? [advice(found)] : []));
  });
  return panel;
}

export function shares(found, kit) {
  if (!found) return make("p", { class: "empty" }, say("no_table"));
  if (!found.classes.length) return make("p", { class: "empty" }, say("nothing_suspected"));
  return make(
    "div",
    {},
    found.isFromSite && make("p", { class: "muted" }, say("no_table_site_said")),
    make(
      "ul",
      { class: "shares" },
      found.classes.slice(0, SHOWN).map(([slug, share]) =>
        make("li", {}, make("span", {}, kit.class_words[slug] ?? slug), bar(share)),
      ),
    ),
    likeliest(found.places[0], kit),
  );
}

function likeliest(first, { checklist }) {
  if (!first) return null;
  const cause = checklist.find((one) => one.cause === first.cause)?.name ?? first.cause;
  const where = first.component || (Number.isFinite(first.position_m) ? metres(first.position_m) : "");
  const share = percent(first.probability);
  return make("p", {}, where ? say("likeliest_at", { cause, where, share }) : say("likeliest", { cause, share }));
}

function bar(share) {
  const width = (100 * Math.min(Math.max(share, 0), 1)).toFixed(1);
  return make(
    "div",
    { class: "share" },
    make("span", { class: "figure" }, percent(share)),
    draw(
      "svg",
      { class: "share-bar", viewBox: "0 0 100 6", preserveAspectRatio: "none", "aria-hidden": "true" },
      draw("rect", { class: "whole", width: 100, height: 6 }),
      draw("rect", { width, height: 6 }),
    ),
  );
}

function advice(found) {
  const words = say(found.isSufficient ? "enough" : "not_enough_yet");
  const sign = found.isSufficient ? "✓ " : "… ";
  const verdict = make("p", {}, make("span", { "aria-hidden": "true" }, sign), make("strong", {}, words));
  const [next] = found.next;
  return next ? make("div", {}, verdict, nextLook(next)) : verdict;
}

function nextLook(next) {
  const { kit, state } = hand;
  const place = atPlace(kit, next.station, next.run, next.position_m);
  const words = [next.station, metres(next.position_m)];
  if (state.walk && next.load !== state.walk.load) words.push(say(`belt_${next.load}`));
  return make(
    "p",
    {},
    make("span", {}, say("best_next_look"), " "),
    state.walk
      ? button(words.join(", "), () => go(`#/${place.path}`), { class: "button quiet next-look" })
      : make("strong", {}, words.join(", ")),
  );
}
