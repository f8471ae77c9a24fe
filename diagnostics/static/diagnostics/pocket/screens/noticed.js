// What else was noticed on this walk.

import { button, field, link, make, row } from "../elements.js";
import { go } from "../going.js";
import { changePass, hand } from "../hand.js";
import { say } from "../words.js";

export function noticed() {
  const { kit, state } = hand;
  if (!state.walk) return [make("h1", {}, say("also_noticed")), row(link(say("summary"), "#/summary"))];
  const ticked = new Set(state.walk.remarks);
  const note = make("textarea", { rows: 3, maxlength: 4000 });
  note.value = state.walk.note;
  const keepAll = async () => {
    const remarks = kit.remarks.map(([value]) => value).filter((value) => ticked.has(value));
    const changes = { remarks, note: note.value.trim() };
    if (await changePass(changes, say("also_noticed"))) await go(back(), { instead: true });
  };
  return [
    make("p", { class: "dateline" }, `${kit.case.number} · ${kit.conveyor.tag}`),
    make("h1", {}, say("also_noticed")),
    make(
      "fieldset",
      { class: "big-choices" },
      make("legend", {}, say("tick_what_holds")),
      kit.remarks.map(([value, words]) => tick(value, words, ticked)),
    ),
    field(say("note"), note),
    row(button(say("keep"), keepAll, { class: "button first" }), link(say("back_to_belt"), back())),
  ];
}

function tick(value, words, ticked) {
  const box = make("input", { type: "checkbox", value, checked: ticked.has(value) });
  box.addEventListener("change", () => (box.checked ? ticked.add(value) : ticked.delete(value)));
  return make("label", { class: "choice" }, box, make("span", {}, words));
}

function back() {
  return hand.at ? `#/${hand.at}` : "#/places";
}
