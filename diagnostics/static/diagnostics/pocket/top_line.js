// The line that is always there: what still waits on this phone, and why.

import { make } from "./elements.js";
import { outbox, waiting } from "./outbox.js";
import { say } from "./words.js";

const WHY = {
  offline: "no_signal",
  "signed-out": "sign_in_needed",
  server: "site_silent",
  "other-person": "of_another_person",
};

export function keepTopLine(place) {
  let last = { waiting: 0, troubles: 0, sending: false, reason: "" };
  const tell = (detail) => {
    last = detail;
    place.replaceChildren(...inside(last));
    place.classList.toggle("amber", last.waiting > 0 || last.troubles > 0);
  };
  outbox.addEventListener("change", ({ detail }) => tell(detail));
  for (const event of ["online", "offline"]) addEventListener(event, () => tell(last));
  waiting().then((count) => tell({ ...last, waiting: count }));
}

function inside({ waiting: count, troubles, sending, reason }) {
  const why = reason || (navigator.onLine ? "" : "offline");
  return [
    make("span", { "aria-hidden": "true", class: "sign" }, count || troubles ? "▲" : "✓"),
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
