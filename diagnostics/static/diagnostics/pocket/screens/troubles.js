// What the site would not simply keep: looks that differ, side by side, and refused entries.

import { button, make, row, section } from "../elements.js";
import { again } from "../going.js";
import { hand, keep, tell } from "../hand.js";
import { settle, troubles as inTrouble } from "../outbox.js";
import { circumstances, lookWords, plantTime, say } from "../words.js";

export async function troubles(kit) {
  const all = await inTrouble(hand.number);
  const contested = all.filter((one) => one.state === "contested");
  const refused = all.filter((one) => one.state === "refused");
  return [
    contested.length > 0 &&
      section(say("looks_differ"), make("p", {}, say("looks_differ_help")), contested.map((one) => pair(one, kit))),
    refused.length > 0 &&
      section(say("refused"), make("ul", { class: "ruled-list" }, refused.map((one) => turnedAway(one, kit)))),
  ];
}

function pair(entry, kit) {
  const { body, theirs } = entry;
  const choose = (counts) => async () => {
    const words = { mine: entry.id, theirs: theirs.id, counts };
    if (!(await keep("choose", words, body.station))) return;
    await settle(entry.id, "done");
    await again();
  };
  return make(
    "div",
    { class: "differing", role: "group", "aria-label": body.station },
    make("h3", {}, body.station),
    make("div", { class: "pair" }, side(say("mine"), body, kit), side(theirs.by || say("theirs"), theirs, kit)),
    make(
      "div",
      { class: "three" },
      button(say("mine_counts"), choose("mine"), { class: "button" }),
      button(say("theirs_counts"), choose("theirs"), { class: "button" }),
      button(say("both_count"), choose("both"), { class: "button" }),
    ),
  );
}

function side(who, look, kit) {
  return make(
    "div",
    {},
    make("p", { class: "muted" }, who),
    make("p", { class: "measured" }, make("strong", {}, lookWords(look, kit.conveyor))),
    make("p", {}, circumstances(look)),
    look.seen_at && make("p", { class: "muted" }, plantTime(look.seen_at, kit.plant.zone)),
  );
}

const KINDS = {
  begin: "the_beginning",
  pass: "the_change",
  count: "the_change",
  choose: "the_change",
  finish: "the_end",
  "go-on": "the_change",
  photo: "photo",
  taps: "timed_look",
};

function what({ kind, body }, kit) {
  if (kind === "look") return `${body.station} ${lookWords(body, kit.conveyor)}`;
  if (kind === "finding") return kit.checklist.find((one) => one.cause === body.cause)?.name ?? body.cause;
  return say(KINDS[kind] ?? "an_entry");
}

function turnedAway(entry, kit) {
  const words = what(entry, kit);
  const once = async () => {
    await settle(entry.id, "again");
    tell("");
    await again();
  };
  const discard = button(say("discard"), () => ask(discard, entry), { "aria-label": `${say("discard")}: ${words}` });
  return make(
    "li",
    {},
    make("p", {}, make("strong", {}, words)),
    make("p", { class: "amber" }, entry.text || say("refused_without_words")),
    row(
      button(say("try_again"), once, { "aria-label": `${say("try_again")}: ${words}` }),
      button(say("save_as_file"), () => save(entry), { "aria-label": `${say("save_as_file")}: ${words}` }),
      discard,
    ),
  );
}

// Nothing is thrown away by one press.
function ask(discard, entry) {
  const sure = button(
    say("discard_for_good"),
    async () => {
      await settle(entry.id, "done");
      tell("");
      await again();
    },
    { class: "button" },
  );
  const stay = () => {
    tell("");
    return again();
  };
  discard.replaceWith(sure, button(say("keep_it"), stay));
  tell(say("discard_asks"));
  sure.focus();
}

// The record itself, and a photo's picture beside it.
function save({ id, kind, number, body, madeAt, text, bytes, type }) {
  const told = { id, kind, number, body, made_at: new Date(madeAt).toISOString(), refused: text };
  download(new Blob([JSON.stringify(told, null, 2)], { type: "application/json" }), `${number}-${id}.json`);
  if (bytes) download(new Blob([bytes], { type }), `${number}-${id}.jpg`);
}

function download(blob, name) {
  const address = URL.createObjectURL(blob);
  make("a", { href: address, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}
