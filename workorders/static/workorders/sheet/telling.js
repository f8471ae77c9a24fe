// What the sheet says: to the eye beside what is carried, to the ear, and as a question.

export const sheet = () => document.getElementById("outage-sheet");
export const word = (name) => sheet().dataset[`says${name[0].toUpperCase()}${name.slice(1)}`];

export function say(words) {
  document.getElementById("sheet-told").textContent = words ?? "";
}

export function note(words, hasClash = false) {
  const shown = document.getElementById("sheet-note");
  shown.hidden = !words;
  shown.textContent = words ?? "";
  shown.classList.toggle("clashes", hasClash);
}

export function noteLong(words) {
  note(words, true);
  setTimeout(() => {
    if (document.getElementById("sheet-note").textContent === words) note(null);
  }, 12_000);
}

// Yes only when the person says so; Escape is no.
export function ask(clashes) {
  const dialog = document.getElementById("sheet-asks");
  const list = dialog.querySelector("ul");
  list.replaceChildren(
    ...clashes.map((words) => {
      const line = document.createElement("li");
      line.textContent = words;
      return line;
    }),
  );
  dialog.returnValue = "";
  dialog.showModal();
  return new Promise((resolve) => {
    dialog.addEventListener("close", () => resolve(dialog.returnValue === "yes"), { once: true });
  });
}

// In the plant's own time, as the site writes it.
export function timeWords(minute) {
  const asked = {
    weekday: "short",
    day: "numeric",
    month: "short",
    hour: "2-digit",
    minute: "2-digit",
    hourCycle: "h23",
    timeZone: sheet().dataset.zone,
  };
  const format = new Intl.DateTimeFormat(document.documentElement.lang || "en", asked);
  const parts = format.formatToParts(new Date(minute * 60_000));
  const { weekday, day, month, hour, minute: past } = Object.fromEntries(
    parts.map(({ type, value }) => [type, value]),
  );
  return `${weekday} ${day} ${month} ${hour}:${past}`;
}
