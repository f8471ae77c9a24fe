// Cases carried on this phone: everything one walk needs without signal.

import { entries, kits, words, askToStay } from "./store.js";
import { ask, askJson, state, Unreached } from "./site.js";

const address = (number, what) => `/pocket/${encodeURIComponent(number)}/${what}`;

export async function carriedCases() {
  const kept = await kits.all();
  return kept
    .sort((one, other) => other.storedAt - one.storedAt)
    .map(({ number, kit, storedAt }) => ({
      number,
      storedAt,
      summary: kit.case.summary,
      conveyor: kit.conveyor,
    }));
}

// Those that this person may walk.
export async function openCases() {
  const { cases, may_walk } = await state();
  if (!may_walk) throw new Unreached("not-allowed");
  return cases;
}

// Fetches kit and table; what stood here before stays until both have come.
export async function carry(number) {
  const asked = Date.now();
  const kit = await askJson(address(number, "kit.json"));
  const table = await tableFor(number);
  await kits.put({ number, kit, table, storedAt: Date.now() });
  await forgetSent(number, asked);
  await askToStay();
  return kit;
}

// Without a table there is no ranking on the phone, and the walk goes on.
async function tableFor(number) {
  try {
    const answer = await ask(address(number, "table.bin"));
    return answer.ok && answer.status === 200 ? await answer.arrayBuffer() : null;
  } catch (error) {
    if (error.reason === "gone") return null;
    throw error;
  }
}

export async function kitOf(number) {
  return (await kits.get(number))?.kit ?? null;
}

export async function tableOf(number) {
  return (await kits.get(number))?.table ?? null;
}

// What came in since: looks of others, findings, the suspicion. Resolves to the kit as it is now.
export async function refresh(number) {
  const kept = await kits.get(number);
  if (!kept) return carry(number);
  const asked = Date.now();
  const news = await askJson(address(number, "news.json"));
  if (news.register !== kept.kit.register || news.person.key !== kept.kit.person.key) {
    return carry(number);
  }
  const kit = { ...kept.kit, ...news, case: { ...kept.kit.case, ...news.case } };
  await kits.put({ ...kept, kit, storedAt: Date.now() });
  await forgetSent(number, asked);
  return kit;
}

// What can be taken back on this phone stays known here.
const REMEMBERED = ["finding", "photo", "taps", "count", "finish"];

// What the site has kept before it told its news is in the news.
async function forgetSent(number, before) {
  for (const one of await entries.of(number)) {
    if (one.state !== "kept" || one.sentAt >= before) continue;
    if (REMEMBERED.includes(one.kind)) await entries.put({ ...one, state: "told" });
    else await entries.drop(one.order);
  }
}

// Refuses while something of the case still waits here.
export async function drop(number) {
  const waits = (await entries.of(number)).filter((one) => !["kept", "told"].includes(one.state));
  if (waits.length) throw new Error("something still waits to be sent");
  for (const one of await entries.of(number)) await entries.drop(one.order);
  await kits.drop(number);
}

// Who is signed in: {key, name, csrf}; null with `lastReason` when nobody answers.
export let lastReason = "";

export async function whoIsHere() {
  try {
    const { person, csrf } = await state();
    lastReason = "";
    return { ...person, csrf };
  } catch (error) {
    if (!(error instanceof Unreached)) throw error;
    lastReason = error.reason;
    return null;
  }
}

// Who used this phone last, also without signal.
export async function personOnPhone() {
  return (await words.get("person")) ?? null;
}
