// The taps of a look that is not kept yet, on the phone at once: a page that dies loses none. One
// draft for each person, case and station: on a shared phone nobody goes on with another's.

const PREFIX = "pocket taps ";
const keyOf = (personKey, number, station) => PREFIX + JSON.stringify([personKey, number, station]);

export function draftAt(kit, place) {
  const key = keyOf(kit.person?.key ?? "", kit.case.number, place.station);
  return {
    read: () => read(key),
    // Whether it is safe.
    write(draft) {
      try {
        localStorage.setItem(key, JSON.stringify(draft));
        return true;
      } catch {
        return false;
      }
    },
    drop() {
      try {
        localStorage.removeItem(key);
      } catch {
        // What cannot be reached was never stored.
      }
    },
  };
}

// Looks of this person and case that were begun and neither kept nor thrown away.
export function unfinishedTimedLooks(kit) {
  const found = [];
  for (const key of storedKeys()) {
    const [personKey, number, station] = named(key) ?? [];
    const draft = number === kit.case.number && personKey === kit.person?.key ? read(key) : null;
    if (draft) found.push({ station, place: draft.place, taps: draft.taps.length });
  }
  return found;
}

function read(key) {
  try {
    const draft = JSON.parse(localStorage.getItem(key));
    return Array.isArray(draft?.taps) && Number.isFinite(draft.elapsedS) ? draft : null;
  } catch {
    return null;
  }
}

function storedKeys() {
  try {
    return Object.keys(localStorage).filter((key) => key.startsWith(PREFIX));
  } catch {
    return [];
  }
}

function named(key) {
  try {
    return JSON.parse(key.slice(PREFIX.length));
  } catch {
    return null;
  }
}
