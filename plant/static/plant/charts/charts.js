// Charts are drawings until somebody asks: only then is fetched what draws them anew, mark by mark.
//
// A pointer that rests on one, or the keyboard coming to it, asks on a screen with a mouse; on a
// telephone the button alone does, so that nothing large is fetched there unasked.

const REST_MS = 150;
const hasMouse = matchMedia("(hover: hover) and (pointer: fine) and (min-width: 720px)");

function wake(figure) {
  if (figure.dataset.awake) return;
  figure.dataset.awake = "yes";
  const bar = figure.querySelector(".at-the-chart");
  bar.hidden = false;
  const open = bar.querySelector("[data-do=open]");
  let rest = 0;
  let opened = null;

  function ask(first) {
    opened ??= begin(figure, bar).catch((error) => {
      console.error(error);
      bar.querySelector("output").textContent = bar.querySelector("output").dataset.failed;
      opened = null;
      return null;
    });
    return opened.then((reader) => reader?.shown(first));
  }

  open.addEventListener("click", () => ask(true));
  const frame = figure.querySelector(".scroll");
  frame.addEventListener("pointerenter", (event) => {
    if (event.pointerType !== "mouse" || !hasMouse.matches || navigator.connection?.saveData) return;
    rest = setTimeout(() => ask(false), REST_MS);
  });
  frame.addEventListener("pointerleave", () => clearTimeout(rest));
  frame.addEventListener("focus", () => {
    if (hasMouse.matches && frame.matches(":focus-visible")) ask(false);
  });
}

async function begin(figure, bar) {
  const said = bar.querySelector("output");
  said.textContent = said.dataset.waits;
  const [{ readerOf }, { draw }] = await Promise.all([
    import(figure.dataset.reader),
    import(figure.dataset.drawer),
  ]);
  const reader = await readerOf(figure, draw);
  said.textContent = said.dataset.hint;
  return reader;
}

function wakeIn(part) {
  for (const figure of part.querySelectorAll("figure.chart[data-drawer]")) wake(figure);
}

wakeIn(document);
document.addEventListener("htmx:load", (event) => wakeIn(event.target));
