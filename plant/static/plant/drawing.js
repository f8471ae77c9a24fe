// Stretches of the drawing by hand: drawn over, tapped at both ends, or by key. Every view is a
// page of the site; this fetches it and puts its drawing in place of the one that is shown.

const drawing = document.getElementById("drawing");
const form = document.getElementById("drawing-form");
const LEAST_PX = 12;

let asked = 0;

async function show(address, { isKept = true, isFocused = false } = {}) {
  const turn = ++asked;
  const answer = await fetch(address, { headers: { "X-Requested-With": "fetch" } });
  if (turn !== asked) return;
  if (!answer.ok) {
    location.assign(address);
    return;
  }
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const found = page.getElementById("drawing");
  if (turn !== asked || !found) return;
  drawing.replaceChildren(...found.childNodes);
  const listed = page.getElementById("stands-here");
  document.getElementById("stands-here").replaceChildren(...(listed?.childNodes ?? []));
  if (isKept) history.pushState(null, "", address);
  ready();
  if (isFocused) drawing.querySelector(".board")?.focus({ preventScroll: true });
  fill();
}

function fill() {
  const words = new URL(location.href).searchParams;
  for (const name of ["from", "to", "splice", "at", "later"]) {
    const control = form?.elements.namedItem(name);
    if (control && (words.has(name) || name === "from" || name === "to")) {
      control.value = words.get(name) ?? "";
    }
  }
}

function shownDrawing() {
  return [...drawing.querySelectorAll("svg.loop[data-along]")].find((one) => one.getClientRects().length);
}

// Loop position on the carrying run under a point of the screen.
function placeAt(svg, clientX) {
  const x = new DOMPoint(clientX, 0).matrixTransform(svg.getScreenCTM().inverse()).x;
  const nodes = svg.dataset.along.split(" ").map((one) => one.split(",").map(Number));
  const index = Math.max(1, nodes.findIndex(([at]) => at >= x));
  const [x0, m0] = nodes[index - 1];
  const [x1, m1] = nodes[index];
  const share = Math.min(1, Math.max(0, (x - x0) / (x1 - x0 || 1)));
  return m0 + share * (m1 - m0);
}

function stretchAddress(oneX, otherX) {
  const svg = shownDrawing();
  const ends = [placeAt(svg, oneX), placeAt(svg, otherX)].sort((a, b) => a - b);
  if (ends[1] - ends[0] < 0.05) return null;
  const address = new URL(location.href);
  address.searchParams.set("from", ends[0].toFixed(1));
  address.searchParams.set("to", ends[1].toFixed(1));
  return address;
}

function outline(board, oneX, otherX) {
  const band = board.querySelector(".picked") ?? document.createElement("div");
  const edge = board.getBoundingClientRect().left;
  band.className = oneX === otherX ? "picked one-end" : "picked";
  band.style.left = `${Math.min(oneX, otherX) - edge}px`;
  band.style.width = `${Math.abs(otherX - oneX)}px`;
  board.append(band);
}

function pick(board) {
  let down = null;
  let first = null;
  const forget = () => {
    down = first = null;
    board.classList.remove("is-picking");
    board.querySelector(".picked")?.remove();
  };
  board.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || !event.target.closest("svg.loop")) return;
    down = event.clientX;
  });
  board.addEventListener("pointermove", (event) => {
    if (down === null || Math.abs(event.clientX - down) < LEAST_PX) return;
    if (!board.hasPointerCapture(event.pointerId)) board.setPointerCapture(event.pointerId);
    board.classList.add("is-picking");
    outline(board, down, event.clientX);
  });
  board.addEventListener("pointercancel", forget);
  board.addEventListener("pointerup", (event) => {
    if (down === null) return;
    const isDrawn = Math.abs(event.clientX - down) >= LEAST_PX;
    const start = isDrawn ? down : first;
    down = null;
    if (!isDrawn && event.target.closest("a")) return;
    if (start === null) {
      first = event.clientX;
      outline(board, first, first);
      return;
    }
    const address = stretchAddress(start, event.clientX);
    forget();
    if (address) show(address);
  });
  // A link that a drawn line ends on is not meant.
  board.addEventListener("dragstart", (event) => event.preventDefault());
  board.addEventListener("click", (event) => {
    if (board.classList.contains("is-picking")) event.preventDefault();
  });
  board.addEventListener("keydown", (event) => {
    const ways = { "+": "larger", "=": "larger", "-": "smaller", ArrowLeft: "back", ArrowRight: "on", Escape: "whole" };
    const way = ways[event.key];
    if (!way || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "Escape") forget();
    const link = drawing.querySelector(`[data-way="${way}"][href]`);
    if (!link) return;
    event.preventDefault();
    show(link.href, { isFocused: true });
  });
}

function ready() {
  const board = drawing.querySelector(".board");
  if (board) pick(board);
  const hint = drawing.querySelector(".drawing-hint");
  if (hint) hint.hidden = false;
}

drawing?.addEventListener("click", (event) => {
  const link = event.target.closest(".drawing-ways a");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  show(link.href);
});

// The belt goes on under the finger.
let wait = 0;
form?.elements.namedItem("later")?.addEventListener("input", () => {
  clearTimeout(wait);
  wait = setTimeout(() => {
    const address = new URL(location.href);
    for (const [name, value] of new FormData(form)) {
      if (value) address.searchParams.set(name, value);
    }
    show(address, { isKept: false }).then(() => history.replaceState(null, "", address));
  }, 120);
});

window.addEventListener("popstate", () => show(location.href, { isKept: false }));
if (drawing) ready();
