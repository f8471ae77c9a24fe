// Photos of a place, or of the case.

import { button, field, link, make, row } from "../elements.js";
import { cameraField } from "../camera.js";
import { go } from "../going.js";
import { hand, keep, speak, tell } from "../hand.js";
import { looksOf, placeFrom } from "../route.js";
import { say } from "../words.js";

export function photo(parts) {
  const { kit, state } = hand;
  const place = placeFrom(kit, parts);
  const back = place && state.walk ? `#/${place.path}` : "#/";
  const camera = cameraField(say("photos"));
  const caption = make("input", { type: "text", maxlength: 200, autocomplete: "off" });
  const keepAll = async () => {
    const blobs = camera.chosen();
    if (!blobs.length) {
      tell(say("choose_a_photo"));
      return;
    }
    const body = bodyOf(place, caption.value.trim());
    if (await keepPhotos(blobs, body)) await go(back, { instead: true });
  };
  return [
    make("p", { class: "dateline" }, `${kit.case.number} · ${kit.conveyor.tag}`),
    make("h1", {}, place ? say("photo_of", { place: place.station }) : say("photos")),
    state.photos > 0 && make("p", { class: "muted" }, say("photos_of_case", { count: state.photos })),
    camera.node,
    field(say("what_it_shows"), caption),
    row(button(say("keep_photos"), keepAll, { class: "button first" }), link(say("back"), back)),
  ];
}

function bodyOf(place, caption) {
  const { state } = hand;
  const looks = place && state.walk ? looksOf(state, state.walk.id, place.station) : [];
  return { place: place?.station ?? "", caption, look: looks.at(-1)?.id ?? null, finding: null };
}

// One entry a photo; stops at the first that finds no room.
export async function keepPhotos(blobs, body) {
  let count = 0;
  for (const blob of blobs) {
    if (!(await keep("photo", body, say("photo_number", { number: count + 1 }), { blob }))) return false;
    count += 1;
  }
  speak(say("photos_kept", { count }));
  return true;
}
