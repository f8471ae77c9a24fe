// What this phone holds: kits of carried cases, entries on their way, a few words about itself.
// A write is done when the phone says that it is on its disk, not before.

const NAME = "loopwright-pocket";
const VERSION = 1;
let opened = null;

function open() {
  opened ??= new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, VERSION);
    asked.onupgradeneeded = () => {
      const base = asked.result;
      base.createObjectStore("kits", { keyPath: "number" });
      base.createObjectStore("words", { keyPath: "name" });
      // In the order of making: the key counts up.
      const entries = base.createObjectStore("entries", { keyPath: "order", autoIncrement: true });
      entries.createIndex("id", "id", { unique: true });
      entries.createIndex("number", "number");
    };
    asked.onsuccess = () => {
      // Another tab may bring a newer page: it must not wait for this one.
      asked.result.onversionchange = () => {
        asked.result.close();
        opened = null;
      };
      resolve(asked.result);
    };
    asked.onerror = () => reject(asked.error);
  }).catch((error) => {
    opened = null;
    throw error;
  });
  return opened;
}

// Runs `work` on one store; resolves with what its request found once everything is written.
async function inStore(name, mode, work) {
  const transaction = await begin(name, mode);
  return new Promise((resolve, reject) => {
    const asked = work(transaction.objectStore(name));
    transaction.oncomplete = () => resolve(asked?.result);
    transaction.onabort = () => reject(transaction.error ?? asked?.error);
  });
}

// After trouble with the disk the browser closes the store for good: it is opened anew.
async function begin(name, mode) {
  const how = { durability: "strict" };
  try {
    return (await open()).transaction(name, mode, how);
  } catch (error) {
    if (error.name !== "InvalidStateError") throw error;
    opened = null;
    return (await open()).transaction(name, mode, how);
  }
}

export const kits = {
  all: () => inStore("kits", "readonly", (store) => store.getAll()),
  get: (number) => inStore("kits", "readonly", (store) => store.get(number)),
  put: (kept) => inStore("kits", "readwrite", (store) => store.put(kept)),
  drop: (number) => inStore("kits", "readwrite", (store) => store.delete(number)),
};

export const entries = {
  all: () => inStore("entries", "readonly", (store) => store.getAll()),
  of: (number) => inStore("entries", "readonly", (store) => store.index("number").getAll(number)),
  put: (entry) => inStore("entries", "readwrite", (store) => store.put(entry)),
  drop: (order) => inStore("entries", "readwrite", (store) => store.delete(order)),
};

export const words = {
  get: async (name) => (await inStore("words", "readonly", (store) => store.get(name)))?.value,
  put: (name, value) => inStore("words", "readwrite", (store) => store.put({ name, value })),
};

// Of a full disk most browsers tell by name; Chromium may close the store over it and tells in words.
export function isFull(error) {
  return error?.name === "QuotaExceededError" || /NO_SPACE/.test(error?.message ?? "");
}

// Asks the browser not to clear what is kept here when it runs short of room.
export async function askToStay() {
  try {
    return (await navigator.storage?.persist?.()) ?? false;
  } catch {
    return false;
  }
}

// crypto.randomUUID is there on secure pages only; a page without HTTPS still records.
export function newId() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((one) => one.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}
