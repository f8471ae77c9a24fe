// The line that is always there: what still waits on this phone, and why.

import { make } from "./elements.js";
import { speak } from "./hand.js";
import { outbox, waiting } from "./outbox.js";
import { say } from "./words.js";

const WHY = {
  offline: "no_signal",
  "signed-out": "sign_in_needed",
  server: "site_silent",
  "other-person": "of_another_person",
  "not-allowed": "role_may_not",
};

export function keepTopLine(place) {
  let last = { waiting: 0, troubles: 0, sending: false, reason: "" };
  const tell = (detail) => {
    last = detail;
    place.replaceChildren(...inside(last));
    const isStuck = last.waiting > 0 && Boolean(whyOf(last));
    place.classList.toggle("amber", isStuck || last.troubles > 0);
  };
  outbox.addEventListener("change", ({ detail }) => tell(detail));
  for (const event of ["online", "offline"]) addEventListener(event, () => tell(last));
  // On its way says nothing new to the ear; what holds it up does.
  let told = "";
  outbox.addEventListener("change", ({ detail }) => {
    const why = detail.waiting ? whyOf(detail) : "";
    if (why && why !== told) speak(`${say("to_be_sent", { count: detail.waiting })}, ${say(WHY[why])}`);
    told = why;
  });
  waiting().then((count) => tell({ ...last, waiting: count }));
}

function whyOf({ reason }) {
  return reason || (navigator.onLine ? "" : "offline");
}

function inside({ waiting: count, troubles, sending, reason }) {
  const why = whyOf({ reason });
  const isHeld = troubles > 0 || (count > 0 && why);
  const sign = isHeld ? "▲" : count ? "↑" : "✓";
  return [
    make("span", { "aria-hidden": "true", class: "sign" }, sign),
    make("span", {}, count ? say("to_be_sent", { count }) : say("all_sent")),
    troubles > 0 && make("span", {}, say("to_be_decided", { count: troubles })),
    explanation(why, count > 0 && sending),
  ].filter(Boolean);
}

function explanation(why, isSending) {
  if (why === "signed-out" || why === "other-person") {
    const next = encodeURIComponent(location.pathname);
    return make("a", { href: `/sign-in/?next=${next}` }, say(WHY[why]));
  }
  if (why) return make("span", {}, say(WHY[why]));
  return isSending ? make("span", {}, say("sending")) : null;
}
