// One piece of work in the hand: a ghost shows where it would stand, the site says what stands
// against that, and putting it down sends it. The work itself stays where it was until then.

import { forgetQuestions, refresh, send, weigh } from "./asking.js";
import { minutesOf, same, setAlong, standingPlace, strip } from "./places.js";
import { ask, note, noteLong, say, timeWords, word } from "./telling.js";

// Long enough that a hand on its way asks nothing. [ms]
const STILL_MS = 180;
const OFF = "off";

let carried = null;

export const inHand = () => carried;
export const isOverTray = () => carried?.place === OFF;

export function pickUp(job) {
  const label = job.querySelector("strong").textContent;
  carried = { job, label, minutes: minutesOf(job), from: standingPlace(job), place: null };
  carried.ghost = job.cloneNode(true);
  carried.ghost.removeAttribute("id");
  carried.ghost.removeAttribute("data-job");
  carried.ghost.className = "along job is-ghost";
  carried.ghost.inert = true;
  job.classList.add("is-lifted");
  document.body.classList.add("is-carrying");
  document.getElementById("sheet-off").hidden = !carried.from;
  carried.place = carried.from;
}

export function carryTo(place) {
  if (!carried || same(carried.place, place)) return;
  carried.place = place;
  carried.ghost.remove();
  carried.ghost.classList.remove("clashes");
  document.getElementById("sheet-off").classList.toggle("is-over", place === OFF);
  clearTimeout(carried.asking);
  forgetQuestions();
  if (!place || place === OFF) {
    note(place === OFF ? `${carried.label}: ${word("tray")}` : `${carried.label}: ${word("nowhere")}`);
    return;
  }
  setAlong(carried.ghost, place, carried.minutes);
  place.lanes.append(carried.ghost);
  const told = whereWords();
  note(told);
  carried.asking = setTimeout(() => look(told), STILL_MS);
}

export const carryOff = () => carryTo(carried?.from ? OFF : null);

export function whereWords() {
  const { lanes, starts } = carried.place;
  return `${carried.label}: ${timeWords(starts)}, ${lanes.dataset.crewName}`;
}

export function leave() {
  if (!carried) return;
  const { job, label } = carried;
  drop();
  say(`${label}: ${word("left")}`);
  job.querySelector("a").focus({ preventScroll: true });
}

export async function putDown() {
  const { job, place, from, label } = carried;
  if (!place || same(place, from)) return leave();
  const fields = place === OFF ? { version: job.dataset.version } : fieldsOf(carried);
  const address = place === OFF ? job.dataset.off : job.dataset.drawn;
  const number = job.dataset.job;
  drop();
  let answer = await send(address, fields);
  if (answer.clashes) {
    if (!(await ask(answer.clashes))) {
      say(`${label}: ${word("left")}`);
      job.querySelector("a").focus({ preventScroll: true });
      return undefined;
    }
    answer = await send(address, { ...fields, all_the_same: "1" });
  }
  await refresh(number);
  say(answer.words ?? answer.refusal);
  if (answer.refusal) noteLong(answer.refusal);
  return undefined;
}

async function look(told) {
  const mine = carried;
  const answer = await weigh(mine.job.dataset.weighed, fieldsOf(mine));
  if (!answer || carried !== mine) return;
  const clashes = answer.clashes ?? [answer.refusal];
  mine.ghost.classList.toggle("clashes", clashes.length > 0);
  const judged = clashes.length ? clashes.join("\n") : word("free");
  note(`${told}\n${judged}`, clashes.length > 0);
  say(`${told}. ${clashes.length ? clashes.join(". ") : word("free")}`);
}

function drop() {
  clearTimeout(carried.asking);
  forgetQuestions();
  carried.ghost.remove();
  carried.job.classList.remove("is-lifted");
  document.body.classList.remove("is-carrying");
  document.getElementById("sheet-off").hidden = true;
  document.getElementById("sheet-off").classList.remove("is-over");
  note(null);
  carried = null;
}

function fieldsOf({ job, place, minutes }) {
  return {
    version: job.dataset.version,
    window: strip(place.lanes).window,
    crew: place.lanes.dataset.crew,
    starts: place.starts,
    ends: place.starts + minutes,
  };
}
