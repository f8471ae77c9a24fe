// Before the belt: cautions first, then how the pass is made. Asked once a pass.

import { button, choices, field, link, make, row } from "../elements.js";
import { go } from "../going.js";
import { changePass, hand, keep, tell } from "../hand.js";
import { nextOpen } from "../route.js";
import { say } from "../words.js";

export function before() {
  const { kit, state } = hand;
  const given = { facing: "", load: "", is_running_backwards: false };
  const read = make("input", { type: "checkbox", id: "cautions-read" });
  const why = make("input", { type: "text", maxlength: 200, autocomplete: "off" });
  return [
    make("p", { class: "dateline" }, `${kit.case.number} · ${kit.conveyor.tag}`),
    make("h1", {}, say("before_you_go")),
    make(
      "div",
      { class: "caution" },
      make("ul", {}, kit.cautions.map((one) => make("li", {}, one))),
      make("label", { class: "choice acknowledge" }, read, make("span", {}, say("cautions_read"))),
    ),
    ...questions(kit, given),
    row(
      button(say("go_to_first"), () => start(given, read), { class: "button first" }),
      link(say("back_to_case"), "#/"),
    ),
    make(
      "details",
      {},
      make("summary", {}, say("belt_stands_still")),
      field(say("because"), why, say("belt_stands_still_help")),
      button(say("keep_standing_still"), () => standStill(given, read, why)),
      row(state.lastWalk && link(say("summary"), "#/summary")),
    ),
  ];
}

// The same questions for another pass of the same walk, say with the belt empty.
export function howAgain([load = ""]) {
  const { kit, state } = hand;
  const { is_running_backwards } = state.walk;
  const given = { facing: "", load: load === "empty" || load === "loaded" ? load : "", is_running_backwards };
  return [
    make("p", { class: "dateline" }, `${kit.case.number} · ${kit.conveyor.tag}`),
    make("h1", {}, say("another_pass")),
    ...questions(kit, given),
    row(
      button(say("go_to_first"), () => goOn(given), { class: "button first" }),
      link(say("summary"), "#/summary"),
    ),
  ];
}

function questions(kit, given) {
  const facing = [
    ["head", say("facing_head")],
    ["tail", say("facing_tail")],
  ];
  const loads = [
    ["loaded", say("loaded")],
    ["empty", say("empty")],
  ];
  const ways = [
    ["forwards", say("forwards")],
    ["backwards", say("running_backwards")],
  ];
  return [
    choices(say("which_way_facing"), "facing", facing, given.facing, (value) => (given.facing = value)),
    choices(say("the_belt_is"), "load", loads, given.load, (value) => (given.load = value)),
    kit.conveyor.is_reversing &&
      choices(
        say("the_belt_runs"),
        "direction",
        ways,
        given.is_running_backwards ? "backwards" : "forwards",
        (value) => (given.is_running_backwards = value === "backwards"),
      ),
  ];
}

// Says what is still to be answered; focus goes there.
function isAnswered(given, read) {
  const lacks = [
    [read && !read.checked, "read_the_cautions", "#cautions-read"],
    [!given.facing, "say_which_way", "[name=facing]"],
    [!given.load, "say_the_load", "[name=load]"],
  ].find(([lacking]) => lacking);
  if (!lacks) return true;
  tell(say(lacks[1]));
  document.querySelector(lacks[2]).focus();
  return false;
}

async function start(given, read) {
  if (!isAnswered(given, read)) return;
  const body = { ...given, stopped_reason: "", cautions_read: true };
  if (await keep("begin", body, say("the_beginning"))) await toFirstStop();
}

async function goOn(given) {
  if (!isAnswered(given, null)) return;
  if (await changePass({ ...given, stopped_reason: "" }, say("the_change"))) await toFirstStop();
}

async function standStill(given, read, why) {
  const stopped_reason = why.value.trim();
  if (!read.checked) {
    isAnswered(given, read);
    return;
  }
  if (!stopped_reason) {
    tell(say("say_why"));
    why.focus();
    return;
  }
  const body = {
    facing: given.facing || "head",
    load: given.load || "empty",
    is_running_backwards: given.is_running_backwards,
    stopped_reason,
    cautions_read: true,
  };
  if (await keep("begin", body, stopped_reason)) await go("#/summary", { instead: true });
}

function toFirstStop() {
  const { kit, state } = hand;
  const stop = nextOpen(kit, state, state.walk) ?? kit.stops[0];
  return go(stop ? `#/at/${stop.number}` : "#/places", { instead: true });
}
