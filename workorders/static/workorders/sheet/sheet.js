// The outage sheet by hand: work is carried by pointer, by finger or by the arrow keys. The site
// draws the sheet and judges every place; this only carries, asks and shows what the site said.

import { refresh, send } from "./asking.js";
import { followKeys } from "./keys.js";
import { followPointer } from "./pointer.js";
import { say } from "./telling.js";

document.documentElement.classList.add("has-script");
followPointer();
followKeys();

// Buttons of the sheet that change one thing and leave the page where it is.
document.addEventListener("submit", async (event) => {
  const form = event.target.closest("form[data-quietly]");
  if (!form) return;
  event.preventDefault();
  const answer = await send(form.action, Object.fromEntries(new FormData(form)));
  await refresh();
  say(answer.words ?? answer.refusal);
});
