// What the timed look says, in English; whoever opens it may give other words for the same keys.
// Braces hold what is filled in. `pocket_timed_words.py` has the same keys for translation.

export const timedWords = {
  title: "Timed look",
  close: "Close",
  belt_empty: "belt empty",
  belt_loaded: "belt loaded",
  backwards: "runs backwards",
  facing_head: "you face the head",
  facing_tail: "you face the tail",
  cautions: "Before you go to the belt",
  cautions_read: "I have read them and keep to them",
  turn_takes: "One turn takes about {seconds} s. Watch for {turns} turns or more: {minutes} min.",
  start: "Start the clock",
  turns: "turns",
  over_left: "Over to the left",
  over_right: "Over to the right",
  back: "Comes back",
  splice: "Splice passes",
  left_in_travel: "left in carrying travel",
  right_in_travel: "right in carrying travel",
  undo: "Undo last",
  end: "End",
  undone: "Taken away: {event}, {at}.",
  tapped: "{event}, {at}.",
  too_many: "{most} taps are the most that are kept. End the look.",
  plot: "One row for each turn: where in the turn it moved.",
  plot_none: "No taps yet.",
  plot_turn: "Turn {turn}: {events}.",
  plot_event: "{event} at {share} %",
  verdict_travels: "Enough: it comes round with the belt ({times} to 1).",
  verdict_fixed: "Enough: it is fixed in place; nothing comes round with the belt ({times} to 1).",
  verdict_watch: "Keep watching: at most {turns} more turns, as it looks now.",
  verdict_watch_one: "Keep watching: one more turn, as it looks now.",
  verdict_open: "Still not told. End it, and watch where the belt stands off most.",
  verdict_unknown: "The register does not say how long a turn takes: nothing is judged here.",
  place: "It sits {metres} m ahead of the reference splice, within {within} m.",
  place_unknown: "Tap a pass of the reference splice: then its place on the belt is known.",
  not_stored: "This phone stores nothing now. Leave this page open until it is kept.",
  ended: "Ended at {at}: {taps} taps, {turns} turns.",
  ended_plain: "Ended at {at}: {taps} taps.",
  note: "note",
  keep: "Keep it",
  go_on: "Go on watching",
  throw_away: "Throw away",
  throw_away_sure: "Throw away {taps} taps for good?",
  throw_away_yes: "Yes, throw away",
  no: "No",
  keeping: "Being kept …",
  not_kept: "It could not be kept: {why} The taps are still here. Try again.",
  found: "A timed look was left here at {at}, with {taps} taps.",
  found_gap: "Nobody has tapped for {gap} since. That time counts as watched if you go on.",
  keep_as_left: "End it there",
};

// The words of a key with what is filled in; an unknown name in braces stays as it is.
export function wording(words) {
  const all = { ...timedWords, ...words };
  return (key, values = {}) => all[key].replace(/\{(\w+)\}/g, (whole, name) => values[name] ?? whole);
}

export function clockWords(seconds) {
  const tenths = Math.floor(Math.max(seconds, 0) * 10 + 1e-6);
  const rest = ((tenths % 600) / 10).toFixed(1).padStart(4, "0");
  return `${Math.floor(tenths / 600)}:${rest}`;
}

// What a reading says, in one or two sentences.
export function verdictWords(say, read) {
  const { kind, moreTurns, times } = read.verdict;
  if (kind === "watch" && moreTurns === 1) return say("verdict_watch_one");
  const words = [say(`verdict_${kind}`, { turns: moreTurns, times })];
  if (kind === "travels") words.push(placeWords(say, read));
  return words.join(" ");
}

function placeWords(say, { beltPositionM, spreadM }) {
  if (beltPositionM === null) return say("place_unknown");
  return say("place", { metres: Math.round(beltPositionM), within: Math.ceil(1.96 * spreadM) });
}
