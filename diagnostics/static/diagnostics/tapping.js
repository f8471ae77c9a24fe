// The keys of the tapping page. They write the same lines a person may type, so that nothing but
// the form is sent; the lines are kept in this browser until they are sent, for a page that is
// loaded again must lose no tap. While the clock runs they are judged as the phone's timed look does.

import { readTaps } from "./pocket/timed/verdict.js";
import { verdictWords, wording } from "./pocket/timed/words.js";

// Judged again without a tap so often: turns without one tell as well. [ms]
const JUDGE_MS = 3000;
const LINE = /^(?:(\d{1,5}):)?(\d{1,6}(?:[.,]\d{1,6})?)\s*s?\s+(over[\s-]+(?:left|right)|back|splice)/i;

function begin(page) {
  const form = page.querySelector("form");
  const lines = form.querySelector("textarea");
  const clientId = form.querySelector("[name=client_id]");
  const pad = page.querySelector(".pad");
  const keys = page.querySelector("[data-keys]");
  const start = page.querySelector("[data-start]");
  const turnS = Number.parseFloat(page.dataset.turnS);
  const keptAs = page.dataset.keptAs;
  const kept = recall(keptAs);
  let startedAt = null;
  let ticking = null;
  let judging = null;

  pad.hidden = false;
  page.querySelector("[data-lines]").open = lines.value !== "";
  page.querySelector("[data-turns-line]").hidden = !(turnS > 0);

  if (kept && lines.value === "") {
    lines.value = kept.lines;
    // The same watch: sent twice it is kept once.
    clientId.value = kept.clientId;
    if (kept.startedAt !== null && !kept.sent) run(kept.startedAt);
    page.querySelector("[data-lines]").open = kept.sent;
    tell();
  }

  start.addEventListener("click", () => {
    run(Date.now());
    remember();
    keys.querySelector("button").focus();
  });
  for (const key of keys.querySelectorAll("[data-word]")) {
    key.addEventListener("click", () => add(key.dataset.word));
  }
  keys.querySelector("[data-undo]").addEventListener("click", undo);
  keys.querySelector("[data-end]").addEventListener("click", () => {
    add("end");
    form.requestSubmit();
  });
  lines.addEventListener("input", remember);
  form.addEventListener("submit", () => {
    clearInterval(ticking);
    clearInterval(judging);
    remember({ sent: true });
  });

  function run(at) {
    startedAt = at;
    start.hidden = true;
    keys.hidden = false;
    ticking = setInterval(show, 100);
    judging = setInterval(judge, JUDGE_MS);
    show();
    judge();
    stayAwake();
  }

  function seconds() {
    return Math.max((Date.now() - startedAt) / 1000, 0);
  }

  function show() {
    const now = seconds();
    const rest = (now % 60).toFixed(1).padStart(4, "0");
    page.querySelector("[data-clock]").textContent = `${Math.floor(now / 60)}:${rest}`;
    if (turnS > 0) page.querySelector("[data-turns]").textContent = (now / turnS).toFixed(1);
  }

  function add(word) {
    const before = lines.value.trimEnd();
    lines.value = `${before}${before ? "\n" : ""}${seconds().toFixed(1)} ${word}`;
    remember();
    tell();
  }

  function undo() {
    const all = lines.value.trimEnd().split("\n");
    all.pop();
    lines.value = all.join("\n");
    remember();
    tell();
  }

  // Left and right only swap where a person faces the tail: what comes round is the same.
  function judge() {
    if (startedAt === null) return;
    const speedMps = Math.abs(Number.parseFloat(page.dataset.speedMps));
    const belt = { beltLengthM: turnS * speedMps, speedMps, isRunningBackwards: "backwards" in page.dataset };
    const read = readTaps(tapsOf(lines.value), seconds(), belt);
    const words = verdictWords(wording(JSON.parse(page.dataset.words)), read);
    const place = page.querySelector("[data-verdict]");
    if (place.textContent !== words) place.textContent = words;
  }

  function tell() {
    judge();
    const all = lines.value.trimEnd().split("\n").filter(Boolean);
    const last = all.at(-1) ?? "";
    page.querySelector("[data-last]").textContent = last ? `${all.length}: ${last}` : "";
  }

  function remember({ sent = false } = {}) {
    try {
      const now = { lines: lines.value, startedAt, clientId: clientId.value, sent };
      sessionStorage.setItem(keptAs, JSON.stringify(now));
    } catch {
      // A browser that keeps nothing still sends what was tapped.
    }
  }
}

// Lines that cannot be read are left to the form, which says why.
function tapsOf(text) {
  const found = text.split("\n").map((one) => LINE.exec(one.trim())).filter(Boolean);
  return found.map(([, minutes, seconds, word]) => [
    60 * Number(minutes ?? 0) + Number(seconds.replace(",", ".")),
    word.toLowerCase().replace(/[\s-]+/, "-"),
  ]);
}

// What was sent comes back only to somebody who goes back to it, say after a lost connection.
function recall(keptAs) {
  const [way] = performance.getEntriesByType("navigation");
  try {
    const kept = JSON.parse(sessionStorage.getItem(keptAs));
    return kept?.sent && way?.type === "navigate" ? null : kept;
  } catch {
    return null;
  }
}

async function stayAwake() {
  try {
    await navigator.wakeLock?.request("screen");
  } catch {
    // The screen may go dark; the clock goes on.
  }
}

for (const page of document.querySelectorAll("[data-tapping]")) begin(page);
