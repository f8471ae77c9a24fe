// The timed look on the phone: a full screen to tap on while one watches the belt. Taps are stored at
// each touch and turned into the register's sides; the pure part is in verdict.js.

import { draftAt, unfinishedTimedLooks } from "./draft.js";
import { eventOf, eventWords, kindOf, makePad } from "./pad.js";
import { button, cautionsPane, endedPane, foundPane, make, readyPane } from "./panes.js";
import { ASKED_PASSES } from "./reading.js";
import { readTaps } from "./verdict.js";
import { stayAwake } from "./wake.js";
import { watchClock } from "./watch_clock.js";
import { clockWords, timedWords, wording } from "./words.js";

export { readTaps, timedWords, unfinishedTimedLooks };

// As many as the site keeps of one look.
const MOST_TAPS = 400;
const TICK_MS = 100;
// Weighed and stored again, without a tap. [ms]
const AGAIN_MS = 5000;
const BUZZ_MS = 30;

const tenths = (seconds) => Math.round(seconds * 10) / 10;

// options: {kit, place: {station, run, position_m}, load, isRunningBackwards, facing, words,
// cautionsRead}. callbacks: onKeep(body, {id, reading}) with the body of an entry of kind "taps",
// whose rejection leaves the taps where they are; onCancel() when it was left or thrown away.
export function openTimedLook(root, options, { onKeep, onCancel }) {
  const { kit, place, facing, words } = options;
  const { conveyor } = kit;
  const say = wording(words);
  const store = draftAt(kit, place);
  const belt = beltOf(conveyor);
  const body = make("div", { class: "timed-body" });
  const close = button(say("close"), leave, "quiet");
  const title = make("h1", { text: place.station, tabindex: "-1" });
  const under = make("p", { class: "where" });
  const head = make("div", { class: "timed-head" }, make("div", {}, title, under), close);
  const dialog = make("dialog", { class: "timed-look", "aria-label": `${say("title")} ${place.station}` }, head, body);
  let draft = null;
  let clock = null;
  let pad = null;
  let read = null;
  // A draft that was found keeps the time at which it was left until somebody goes on with it.
  let isLeft = false;
  let timers = [];
  let weighing = null;
  let awake = null;

  root.append(dialog);
  dialog.addEventListener("cancel", (event) => {
    event.preventDefault();
    if (!close.hidden) leave();
  });
  document.addEventListener("visibilitychange", seenOrNot);
  addEventListener("pagehide", save);
  dialog.showModal();
  if (options.cautionsRead === true) begin();
  else show(cautionsPane(say, kit.cautions, begin));
  return { close: leave };

  async function begin() {
    draft = await store.read();
    isLeft = draft !== null;
    if (!draft) {
      tellWhere(options);
      return show(readyPane(say, turnS(), ASKED_PASSES, start));
    }
    tellWhere(draft);
    clock = watchClock(draft.elapsedS, draft.wallMs);
    const choices = { onGoOn: goOn, onEnd: () => end(draft.endedS ?? draft.elapsedS), onThrowAway: throwAway };
    show(foundPane(say, draft, clock.awayS, choices));
  }

  function start() {
    clock = watchClock();
    const { load, isRunningBackwards = false } = options;
    const id = globalThis.crypto?.randomUUID?.() ?? null;
    draft = { id, place, load, isRunningBackwards, taps: [], endedS: null, note: "" };
    goOn();
  }

  function goOn() {
    draft.endedS = null;
    isLeft = false;
    awake ??= stayAwake();
    pad = freshPad();
    show(pad.pad);
    save();
    weigh();
    timers = [setInterval(tick, TICK_MS), setInterval(again, AGAIN_MS)];
    tick();
  }

  function freshPad() {
    const onTap = { now: () => clock.elapsed(), done: tap };
    return makePad(say, conveyor, facing, { onTap, onUndo: undo, onEnd: () => end(clock.elapsed()) });
  }

  function tap(kind, nowS) {
    const { taps } = draft;
    if (taps.length >= MOST_TAPS) return pad.say(say("too_many", { most: MOST_TAPS }));
    const atS = Math.max(tenths(nowS), taps.at(-1)?.[0] ?? 0);
    taps.push([atS, eventOf(kind, facing)]);
    save();
    navigator.vibrate?.(BUZZ_MS);
    pad.say(say("tapped", { event: eventWords(say, kind), at: clockWords(atS) }));
    weighSoon();
  }

  function undo() {
    const gone = draft.taps.pop();
    if (!gone) return;
    save();
    navigator.vibrate?.([BUZZ_MS, BUZZ_MS, BUZZ_MS]);
    const event = eventWords(say, kindOf(gone[1], facing));
    pad.say(say("undone", { event, at: clockWords(gone[0]) }));
    weighSoon();
  }

  function end(atS) {
    stop();
    isLeft = false;
    const durationS = Math.max(tenths(atS), draft.taps.at(-1)?.[0] ?? 0, 0.1);
    draft.endedS = durationS;
    save();
    pad = freshPad();
    pad.end();
    weigh();
    const { taps, note } = draft;
    const told = { taps: taps.length, durationS, turns: read.turns, note };
    const onNote = (text) => {
      draft.note = text;
      save();
    };
    show(pad.pad, endedPane(say, told, { onNote, onKeep: keep, onGoOn: goOn, onThrowAway: throwAway }));
  }

  async function keep() {
    const trouble = body.querySelector(".trouble");
    hold(true);
    trouble.textContent = say("keeping");
    try {
      await onKeep(entryBody(), { id: draft.id, reading: read });
    } catch (why) {
      trouble.textContent = say("not_kept", { why: why?.message ?? String(why) });
      hold(false);
      return;
    }
    // Nothing that happens now may store it anew.
    draft = null;
    await store.drop();
    shut();
  }

  function entryBody() {
    const { taps, endedS, load, isRunningBackwards, note } = draft;
    return {
      station: place.station,
      run: place.run,
      position_m: place.position_m,
      load,
      is_running_backwards: isRunningBackwards,
      taps,
      duration_s: endedS,
      note: note.trim(),
      cautions_read: true,
    };
  }

  async function throwAway() {
    draft = null;
    await store.drop();
    leave();
  }

  function leave() {
    if (!dialog.isConnected) return;
    save();
    draft = null;
    shut();
    onCancel?.();
  }

  function shut() {
    stop();
    awake?.release();
    document.removeEventListener("visibilitychange", seenOrNot);
    removeEventListener("pagehide", save);
    dialog.close();
    dialog.remove();
  }

  function stop() {
    clearTimeout(weighing);
    for (const one of timers) clearInterval(one);
    timers = [];
  }

  function seenOrNot() {
    if (document.hidden) clock?.hide();
    else clock?.show();
    save();
  }

  async function save() {
    if (!draft || isLeft) return;
    Object.assign(draft, clock.mark());
    if (!(await store.write(draft))) pad?.say(say("not_stored"));
  }

  function again() {
    save();
    weigh();
  }

  // A slow phone weighs for a while: first the tap is answered.
  function weighSoon() {
    clearTimeout(weighing);
    weighing = setTimeout(weigh, 50);
  }

  function weigh() {
    const watchedS = draft.endedS ?? clock.elapsed();
    read = readTaps(draft.taps, watchedS, { ...belt, isRunningBackwards: draft.isRunningBackwards });
    pad?.show(read);
  }

  function tick() {
    pad.tick(clock.elapsed(), read.turnS);
  }

  function turnS() {
    return belt.beltLengthM > 0 && belt.speedMps ? belt.beltLengthM / Math.abs(belt.speedMps) : null;
  }

  function tellWhere({ load, isRunningBackwards }) {
    const told = [say(`belt_${load}`), isRunningBackwards && say("backwards"), say(`facing_${facing}`)];
    under.textContent = told.filter(Boolean).join(" · ");
  }

  function show(...panes) {
    const isRunning = draft !== null && draft.endedS === null && !isLeft;
    body.replaceChildren(...panes);
    close.hidden = isRunning;
    dialog.classList.toggle("is-running", isRunning);
    title.focus();
  }

  function hold(isBusy) {
    for (const one of dialog.querySelectorAll("button")) one.disabled = isBusy;
  }
}

function beltOf({ belt_length_m: lengthM, turn_s: turnS, speed_mps: speedMps, splices_m: splicesM }) {
  const beltLengthM = lengthM ?? (turnS && speedMps ? turnS * Math.abs(speedMps) : null);
  return { beltLengthM, speedMps, splicesM: splicesM ?? [] };
}
