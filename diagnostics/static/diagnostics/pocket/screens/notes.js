// Notes from the field that the phone took along, as text; their photos stay on the site.

import { make, section } from "../elements.js";
import { hand } from "../hand.js";
import { say } from "../words.js";

export function notes(wanted) {
  const found = (hand.kit.notes ?? []).filter(wanted);
  if (!found.length) return null;
  return section(say("field_notes"), make("ul", { class: "ruled-list" }, found.map(entry)));
}

const entry = ({ text, about, photos }) => {
  const more = [about, photos > 0 && say("photos_on_site", { count: photos })];
  return make("li", {}, text, make("p", { class: "muted" }, more.filter(Boolean).join(" · ")));
};

// Those on what stands here, on the conveyor as a whole, and on what the site suspects most.
export const isFor = (place) => (one) => {
  const { kit } = hand;
  if (kit.suspects.slice(0, 3).some(({ cause }) => cause === one.cause)) return true;
  return !one.stops || one.stops.some((number) => number === nearest(kit.stops, place).number);
};

const nearest = (stops, { position_m }) => {
  const off = (one) => Math.abs(one.position_m - position_m);
  return stops.reduce((best, one) => (off(one) < off(best) ? one : best));
};
