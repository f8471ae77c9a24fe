// The taps of a look that is not kept yet, on the phone at once. They are written twice: to the local
// storage, which outlives a page that dies in the next moment but reaches the disk only seconds
// later, and to a database that answers once they are on the disk, should the whole browser die.
// One draft for each person, case and station: on a shared phone nobody goes on with another's.

const NAME = "pocket taps";
const keyOf = (...parts) => `${NAME} ${JSON.stringify(parts)}`;

export function draftAt(kit, place) {
  const key = keyOf(kit.person?.key ?? "", kit.case.number, place.station);
  let number = 0;
  return {
    async read() {
      const draft = newest(readLocal(key), await inDatabase("readonly", (all) => all.get(key)).catch(() => null));
      number = draft?.number ?? 0;
      return draft;
    },
    // Whether it is safe.
    async write(draft) {
      number += 1;
      const written = { ...draft, number };
      const isLocal = writeLocal(key, written);
      const put = inDatabase("readwrite", (all) => all.put(written, key));
      return put.then(() => true, () => isLocal);
    },
    async drop() {
      writeLocal(key, null);
      await inDatabase("readwrite", (all) => all.delete(key)).catch(() => {});
    },
  };
}

// Looks of this person and case that were begun and neither kept nor thrown away.
export async function unfinishedTimedLooks(kit) {
  const start = keyOf(kit.person?.key ?? "", kit.case.number).slice(0, -1);
  const stored = await inDatabase("readonly", (all) => all.getAllKeys()).catch(() => []);
  const keys = new Set([...stored, ...localKeys()].filter((key) => key.startsWith(`${start},`)));
  const stations = [...keys].map((key) => JSON.parse(key.slice(NAME.length + 1))[2]);
  const drafts = await Promise.all(stations.map((station) => draftAt(kit, { station }).read()));
  return drafts.filter(Boolean).map(({ place, taps }) => ({ place, taps: taps.length }));
}

function newest(...drafts) {
  const sound = drafts.filter((one) => Array.isArray(one?.taps) && Number.isFinite(one.elapsedS));
  return sound.sort((one, other) => other.number - one.number)[0] ?? null;
}

function readLocal(key) {
  try {
    return JSON.parse(localStorage.getItem(key));
  } catch {
    return null;
  }
}

function writeLocal(key, draft) {
  try {
    if (draft) localStorage.setItem(key, JSON.stringify(draft));
    else localStorage.removeItem(key);
    return true;
  } catch {
    return false;
  }
}

function localKeys() {
  try {
    return Object.keys(localStorage);
  } catch {
    return [];
  }
}

let opening = null;

async function inDatabase(mode, use) {
  opening ??= opened();
  opening.catch(() => (opening = null));
  const transaction = (await opening).transaction(NAME, mode, { durability: "strict" });
  const request = use(transaction.objectStore(NAME));
  return new Promise((done, fail) => {
    transaction.oncomplete = () => done(request.result);
    transaction.onabort = () => fail(transaction.error);
  });
}

function opened() {
  return new Promise((done, fail) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(NAME);
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => fail(asked.error);
  });
}
