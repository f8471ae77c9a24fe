// One close look: cautions first, what to look at, then yes or no.

import { button, field, link, make, row } from "../elements.js";
import { cameraField } from "../camera.js";
import { go } from "../going.js";
import { hand, keep, speak, tell } from "../hand.js";
import { say } from "../words.js";
import { looked } from "./findings.js";
import { notes } from "./notes.js";
import { keepPhotos } from "./photo.js";

export function finding([slug, component = "", ...parts]) {
  const { kit } = hand;
  const cause = kit.checklist.find((one) => one.cause === slug);
  if (!cause) return [make("h1", {}, say("no_such_screen")), row(link(say("close_looks"), "#/findings"))];
  const back = `#/findings${parts.length ? `/${parts.map(encodeURIComponent).join("/")}` : ""}`;
  const place = make("input", { type: "text", maxlength: 48, autocomplete: "off", value: component });
  const note = make("input", { type: "text", maxlength: 400, autocomplete: "off" });
  const camera = cameraField(say("photos"));
  // What was said stays said when a photo finds no room: the second press keeps the photos only.
  let kept = null;
  const answer = (is_present) => async () => {
    const body = { cause: slug, place: place.value.trim(), is_present, note: note.value.trim() };
    kept ??= await keep("finding", body, cause.name);
    if (!kept) return;
    const about = { place: body.place, caption: cause.name, look: null, finding: kept };
    if (!(await keepPhotos(camera.chosen(), about))) return;
    speak(say("kept", { what: `${cause.name}: ${say(is_present ? "looked_yes" : "looked_no")}` }));
    tell("");
    await go(back, { instead: true });
  };
  return [
    make("p", { class: "dateline" }, kit.class_words[cause.class] ?? ""),
    make("h1", {}, cause.name),
    cautions(cause),
    make("p", {}, cause.what),
    make("p", { class: "muted" }, [say("minutes", { count: cause.minutes }), ...cause.tools].join(" · ")),
    before(slug, component),
    notes((one) => one.cause === slug),
    field(say("where"), place, say("where_help")),
    field(say("note"), note),
    camera.node,
    row(
      button(say("yes_it_is"), answer(true), { class: "button first" }),
      button(say("no_it_is_not"), answer(false), { class: "button quiet first" }),
      link(say("back"), back),
    ),
  ];
}

function cautions({ needs_stop, cautions: all }) {
  return make(
    "div",
    { class: "caution" },
    make("p", {}, make("strong", {}, say(needs_stop ? "belt_stopped_locked" : "belt_running_outside"))),
    all.length > 0 && make("ul", {}, all.map((one) => make("li", {}, one))),
  );
}

function before(slug, component) {
  const last = looked(slug, component);
  if (!last) return null;
  const words = `${say(last.is_present ? "looked_yes" : "looked_no")}${last.by ? ` · ${last.by}` : ""}`;
  return make("p", { class: "measured" }, words);
}
