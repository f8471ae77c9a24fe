// What the sheet asks of the site: send a move, weigh a place, draw the sheet anew.

import { sheet, word } from "./telling.js";

let turn = 0;

export async function send(address, fields) {
  const headers = { Accept: "application/json", "X-CSRFToken": token() };
  const body = new URLSearchParams(fields);
  try {
    const answer = await fetch(address, { method: "POST", headers, body });
    const told = await answer.json();
    return { status: answer.status, ...told };
  } catch {
    return { status: 0, refusal: word("lost") };
  }
}

// Only the newest question counts: a slow answer about an earlier place is dropped as null.
export async function weigh(address, fields) {
  const mine = ++turn;
  const answer = await send(address, fields);
  return mine === turn ? answer : null;
}

export function forgetQuestions() {
  turn += 1;
}

export async function refresh(number) {
  let page = null;
  try {
    const answer = await fetch(location.href, { headers: { "X-Requested-With": "fetch" } });
    if (answer.ok) page = new DOMParser().parseFromString(await answer.text(), "text/html");
  } catch {
    // Without signal the sheet stays as it is; the move itself was answered before.
  }
  const found = page?.getElementById("outage-sheet");
  if (!found) return;
  const opened = new Set(openDays());
  sheet().replaceWith(document.adoptNode(found));
  for (const day of document.querySelectorAll("details[data-day]")) {
    if (opened.has(day.dataset.day)) day.open = true;
  }
  if (number) document.querySelector(`#job-${CSS.escape(number)} a`)?.focus({ preventScroll: true });
}

function openDays() {
  return [...document.querySelectorAll("details[data-day][open]")].map((one) => one.dataset.day);
}

function token() {
  return JSON.parse(document.body.getAttribute("hx-headers"))["X-CSRFToken"];
}
