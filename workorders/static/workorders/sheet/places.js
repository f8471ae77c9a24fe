// Places on the sheet: which crew's line, in which window, from which minute. A place is
// { lanes, starts }; the lanes are the element in which a crew's work stands.

export const SNAP = 15;
const WHOLE = 1000;
const upright = matchMedia("(max-width: 700px)");

export const timeRunsDown = () => upright.matches;
export const snapped = (minute) => Math.round(minute / SNAP) * SNAP;

export function strip(lanes) {
  const { starts, ends, window } = lanes.closest(".strip").dataset;
  return { starts: Number(starts), ends: Number(ends), window };
}

// `grabbed` is how many minutes into the work the pointer holds it.
export function placeUnder(x, y, grabbed) {
  const lanes = document.elementFromPoint(x, y)?.closest(".lanes");
  if (!lanes || isClosed(lanes)) return null;
  return { lanes, starts: snapped(minuteAt(lanes, x, y) - grabbed) };
}

export function minuteAt(lanes, x, y) {
  const box = lanes.getBoundingClientRect();
  const share = timeRunsDown() ? (y - box.top) / box.height : (x - box.left) / box.width;
  const { starts, ends } = strip(lanes);
  return starts + share * (ends - starts);
}

export function standingPlace(job) {
  const lanes = job.closest(".lanes");
  return lanes ? { lanes, starts: Number(job.dataset.starts) } : null;
}

export function minutesOf(job) {
  const { minutes, starts, ends } = job.dataset;
  return minutes ? Number(minutes) : Number(ends) - Number(starts);
}

// The crews' lines that can be seen, in the order in which they stand.
export function openLines() {
  return [...document.querySelectorAll(".lanes")].filter(
    (lanes) => !isClosed(lanes) && lanes.getClientRects().length,
  );
}

// The next line up or down; in another strip work begins no earlier than its window.
export function besides(place, step, minutes) {
  const lines = openLines();
  const next = lines[lines.indexOf(place.lanes) + step];
  if (!next) return null;
  const { starts, ends } = strip(next);
  const fits = place.starts >= starts && place.starts + minutes <= ends;
  return { lanes: next, starts: fits ? place.starts : opens(next) };
}

export function firstPlace() {
  const lines = openLines();
  return lines.length ? { lanes: lines[0], starts: opens(lines[0]) } : null;
}

export function same(one, other) {
  if (!one?.lanes || !other?.lanes) return one === other;
  return one.lanes === other.lanes && one.starts === other.starts;
}

export function setAlong(element, place, minutes) {
  const { starts, ends } = strip(place.lanes);
  const share = (minute) => ((minute - starts) / (ends - starts)) * WHOLE;
  element.style.setProperty("--from", share(place.starts));
  element.style.setProperty("--long", share(place.starts + minutes) - share(place.starts));
}

// Where work is put that comes from elsewhere: when the crew can begin there.
const opens = (lanes) => snapped(Number(lanes.dataset.opens));

function isClosed(lanes) {
  return "closed" in lanes.dataset || "closed" in lanes.closest(".strip").dataset;
}
