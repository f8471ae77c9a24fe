// How the person stands to the belt: facing, load, direction; changed on the way.

import { button, make } from "../elements.js";
import { again } from "../going.js";
import { changePass, speak } from "../hand.js";
import { words } from "../store.js";
import { say } from "../words.js";

// Walk-downs and load states in which a person said that they go on as they are. Kept on the phone
// too: a page that is loaded anew asks no second time.
const answered = new Set();
const STORED = "turn answered";
const ANSWERS_STORED = 20;

export function stand(kit, walk) {
  return make(
    "div",
    { class: "stand", role: "group", "aria-label": say("how_you_stand") },
    toggle("facing", walk.facing, { head: "you_face_head", tail: "you_face_tail" }, "turn_round"),
    toggle(
      "load",
      walk.load,
      { loaded: "belt_loaded", empty: "belt_empty" },
      walk.load === "loaded" ? "now_empty" : "now_loaded",
    ),
    kit.conveyor.is_reversing &&
      toggle(
        "is_running_backwards",
        walk.is_running_backwards,
        { false: "runs_forwards", true: "runs_backwards" },
        "other_way",
      ),
  );
}

const OTHER = { head: "tail", tail: "head", loaded: "empty", empty: "loaded", true: false, false: true };

function toggle(name, value, words, change) {
  const id = `stand-${name}`;
  const turn = async () => {
    const next = OTHER[value];
    if (!(await changePass({ [name]: next }, say("the_change")))) return;
    speak(say(words[next]));
    await again(`#${id}`);
  };
  return button(
    [make("strong", {}, say(words[value])), make("span", { class: "muted" }, say(change))],
    turn,
    { id },
  );
}

export function stoppedNotice(walk) {
  if (!walk.stopped_reason) return null;
  const runs = async () => {
    if (await changePass({ stopped_reason: "" }, say("the_change"))) await again();
  };
  return make(
    "div",
    { class: "caution" },
    make("p", {}, say("noted_as_stopped", { why: walk.stopped_reason })),
    button(say("runs_again"), runs, { class: "button" }),
  );
}

// From the turn on people usually walk back and face the tail; asked once, before anything is tapped.
export async function turnQuestion(kit, walk, place) {
  const key = `${walk.id} ${walk.load}`;
  const turn = kit.stops.find((one) => one.is_turn)?.number ?? Infinity;
  const isBehind = (place.stop?.number ?? 0) >= turn;
  if (!isBehind || walk.facing === "tail" || (await wasAnswered(key))) return null;
  const answer = (facing) => async () => {
    if (facing === "tail" && !(await changePass({ facing }, say("the_change")))) return;
    await rememberAnswer(key);
    await again();
  };
  return make(
    "div",
    { class: "turn", role: "group", "aria-labelledby": "turn-words" },
    make("p", { id: "turn-words" }, say("walk_back_from_here")),
    button(say("i_turn_round"), answer("tail"), { class: "button first" }),
    button(say("i_stay_as_i_am"), answer("head"), { class: "button quiet first" }),
  );
}

async function wasAnswered(key) {
  if (!answered.has(key)) for (const one of (await words.get(STORED)) ?? []) answered.add(one);
  return answered.has(key);
}

// Of a full phone the page at least remembers.
async function rememberAnswer(key) {
  answered.add(key);
  await words.put(STORED, [...answered].slice(-ANSWERS_STORED)).catch(() => {});
}
