// Talking to the site: who is signed in, its clock, and why nothing comes back.

import { words } from "./store.js";

const PATIENCE_MS = 20_000;

// Why the site was not reached: "offline", "signed-out", "server", "gone", "not-allowed".
export class Unreached extends Error {
  constructor(reason, text = "") {
    super(text || reason);
    this.reason = reason;
  }
}

export async function ask(address, options = {}) {
  let answer;
  try {
    answer = await fetch(address, {
      // A redirect leads to the sign-in page: seen as such, not followed.
      redirect: "manual",
      cache: "no-store",
      signal: AbortSignal.timeout?.(options.patience ?? PATIENCE_MS),
      ...options,
    });
  } catch {
    throw new Unreached("offline");
  }
  if (answer.type === "opaqueredirect") throw new Unreached("signed-out");
  if (answer.status >= 500) throw new Unreached("server");
  if (answer.status === 404) throw new Unreached("gone");
  if (answer.status === 403) throw new Unreached("not-allowed");
  return answer;
}

export async function askJson(address, options) {
  const answer = await ask(address, options);
  if (!answer.ok) throw new Unreached("server", await answer.text());
  try {
    return await answer.json();
  } catch {
    throw new Unreached("server");
  }
}

// The person signed in, a fresh token to write with, and the open cases of their plants.
export async function state() {
  const sent = Date.now();
  const found = await askJson("/pocket/state.json");
  const skewMs = Date.parse(found.now) - (sent + Date.now()) / 2;
  await words.put("skew", skewMs);
  await words.put("person", found.person);
  return { ...found, skewMs };
}

// What the phone's clock is off by, as last seen; 0 while the site was never reached.
export async function skewMs() {
  return (await words.get("skew")) ?? 0;
}
