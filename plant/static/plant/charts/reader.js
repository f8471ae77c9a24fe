// A chart that can be read mark by mark, by pointer, key or button, and looked at more nearly.
//
// The drawing stays SVG with the page's own colours, so it follows day, night and print. Nothing is
// evaluated as code: expressions of the specification are interpreted.

const QUIET = {
  actions: false,
  ast: true,
  defaultStyle: false,
  // Errors alone: that a chart has no mark of some kind is no news to anybody.
  logLevel: 1,
  mode: "vega-lite",
  renderer: "svg",
};
const roomy = matchMedia("(min-width: 720px)");
const NEARER = 0.5;
const ASIDE = 0.25;
// The selection that the server binds to the axis across, and what it keeps for itself.
const NEAR = "near";
const NOT_ITS_STRETCH = /^near_(x|y|tuple|tuple_fields|modify|toggle|translate_.*|zoom_.*)$/;

export async function readerOf(figure, draw) {
  const spec = JSON.parse(figure.querySelector("script[type='application/json']").textContent);
  const picture = figure.querySelector(".drawn");
  const still = [...picture.childNodes];
  const place = document.createElement("div");
  // The picture is one image for a reader; what its marks tell is read from the words below it.
  place.ariaHidden = "true";
  const note = new Note();
  // Aside until it is drawn: the page shows one or the other, never none.
  const beside = (_handler, event, _item, value) => {
    if (event.pointerType === "touch") return;
    note.at(event.clientX, event.clientY, value);
  };
  const { view } = await draw(place, spec, { ...QUIET, tooltip: beside });
  picture.replaceChildren(place);
  const svg = place.querySelector("svg");
  if (!svg) {
    picture.replaceChildren(...still);
    throw new Error("nothing was drawn");
  }
  return new Reader(figure, view, svg, note);
}

/** What is told of a mark, beside it. */
class Note {
  constructor() {
    this.list = document.createElement("dl");
    this.list.className = "chart-note";
    this.list.hidden = true;
  }

  /** Beside a point; above it when `isAbove`, so that what comes next stays in sight. */
  at(x, y, value, isAbove = false) {
    const pairs = pairsOf(value);
    if (!pairs.length) return this.away();
    this.list.replaceChildren(
      ...pairs.flatMap(([name, words]) => [element("dt", name), element("dd", words)]),
    );
    document.body.append(this.list);
    this.list.hidden = false;
    const { width, height } = this.list.getBoundingClientRect();
    const left = x + 14 + width > innerWidth ? x - 14 - width : x + 14;
    const above = y - 14 - height;
    const top = (isAbove && above > 0) || y + 14 + height > innerHeight ? above : y + 14;
    this.list.style.left = `${Math.max(4, left)}px`;
    this.list.style.top = `${Math.max(4, top)}px`;
  }

  away() {
    this.list.hidden = true;
    this.list.remove();
  }
}

class Reader {
  constructor(figure, view, svg, note) {
    Object.assign(this, { figure, view, svg, note, place: -1 });
    this.bar = figure.querySelector(".at-the-chart");
    this.said = this.bar.querySelector("output");
    this.frame = figure.querySelector(".scroll");
    this.ring = element("div", "");
    this.ring.className = "chart-ring";
    this.whole = this.domain();
    if (this.whole) svg.addEventListener("pointermove", (event) => this.dragged(event));
    this.bar.addEventListener("click", (event) => this.pressed(event));
    this.frame.addEventListener("keydown", (event) => this.keyed(event));
    this.frame.addEventListener("blur", () => this.note.away());
    // Its buttons show marks, too: the note leaves with the person.
    figure.addEventListener("focusout", (event) => {
      if (!figure.contains(event.relatedTarget)) this.note.away();
    });
    this.frame.addEventListener("scroll", () => this.note.away());
    svg.addEventListener("click", (event) => this.pointed(event));
    svg.addEventListener("pointerleave", () => this.note.away());
    addEventListener("scroll", () => this.note.away(), { passive: true });
  }

  shown(isAsked) {
    this.bar.querySelector("[data-do=open]").hidden = true;
    const closer = this.bar.querySelector(".closer");
    closer.hidden = false;
    if (!this.marks().length) {
      for (const name of ["before", "after"]) closer.querySelector(`[data-do=${name}]`).hidden = true;
      this.said.textContent = "";
    }
    // The button that was pressed is gone; the keyboard goes on from the chart.
    if (isAsked) this.frame.focus({ preventScroll: true });
  }

  /** Marks in sight that tell something; row by row where there are rows, else from left to right. */
  marks() {
    const all = [];
    collect(this.view.scenegraph().root, all);
    // What lies between the axes; nearer, marks beside it are cut off.
    const plot = (this.svg.querySelector(".background") ?? this.svg).getBoundingClientRect();
    const seen = new Set();
    return all
      .filter((item) => item.mark.marktype !== "text" && item._svg)
      .map((item) => ({ item, box: item._svg.getBoundingClientRect(), told: told(item) }))
      .filter(({ box }) => middle(box) >= plot.left - 1 && middle(box) <= plot.right + 1)
      .sort(this.hasRows() ? byRows : fromTheLeft)
      // Marks that tell the same are one to whoever reads.
      .filter((mark) => !seen.has(mark.told) && seen.add(mark.told));
  }

  hasRows() {
    try {
      return typeof this.view.scale("y").bandwidth === "function";
    } catch {
      return false;
    }
  }

  step(by) {
    const marks = this.marks();
    if (!marks.length) {
      this.said.textContent = this.said.dataset.none;
      return;
    }
    const next = this.place < 0 && by < 0 ? marks.length - 1 : this.place + by;
    this.go(Math.min(Math.max(next, 0), marks.length - 1), marks);
  }

  go(place, marks) {
    this.place = place;
    this.bring(marks[place].box);
    const { item } = marks[place];
    const box = item._svg.getBoundingClientRect();
    this.encircle(box);
    // Where there is little room the words below say it without hiding the chart.
    if (roomy.matches) this.note.at(box.right - 8, box.top + 8, item.tooltip, true);
    const count = this.said.dataset.count;
    const where = count.replace("{n}", place + 1).replace("{m}", marks.length);
    const words = pairsOf(item.tooltip).map((pair) => pair.filter(Boolean).join(": "));
    this.said.textContent = `${words.join("; ")} (${where})`;
  }

  bring(box) {
    const frame = this.frame.getBoundingClientRect();
    if (box.left < frame.left) this.frame.scrollLeft -= frame.left - box.left + 20;
    if (box.right > frame.right) this.frame.scrollLeft += box.right - frame.right + 20;
  }

  encircle(box) {
    const picture = this.svg.closest(".drawn");
    const frame = picture.getBoundingClientRect();
    picture.append(this.ring);
    Object.assign(this.ring.style, {
      left: `${box.left - frame.left - 4}px`,
      top: `${box.top - frame.top - 4}px`,
      width: `${box.width + 8}px`,
      height: `${box.height + 8}px`,
    });
  }

  leave() {
    this.place = -1;
    this.said.textContent = "";
    this.ring.remove();
    this.note.away();
  }

  pointed(event) {
    const item = event.target.__data__;
    if (!item?.mark) return;
    const marks = this.marks();
    const place = marks.findIndex((mark) => mark.told === told(item));
    if (place >= 0) this.go(place, marks);
  }

  pressed(event) {
    const name = event.target.closest("button")?.dataset.do;
    if (name && name !== "open") this.does(name);
  }

  keyed(event) {
    const name = {
      ArrowRight: "after", ArrowDown: "after", ArrowLeft: "before", ArrowUp: "before",
      Home: "first", End: "last", Escape: "leave", "+": "nearer", "-": "farther", 0: "whole",
    }[event.key];
    if (!name || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    this.does(name);
  }

  does(name) {
    switch (name) {
      case "after": return this.step(1);
      case "before": return this.step(-1);
      case "first": this.place = -1; return this.step(1);
      case "last": this.place = -1; return this.step(-1);
      case "leave": return this.leave();
      case "nearer": return this.look(NEARER, 0);
      case "farther": return this.look(1 / NEARER, 0);
      case "on": return this.look(1, ASIDE);
      case "back": return this.look(1, -ASIDE);
      case "whole": return this.show(this.whole);
    }
  }

  domain() {
    return this.zoomed() ? this.view.scale("x").domain().map(Number) : null;
  }

  /** The signal of the stretch shown, where the chart can be looked at more nearly. */
  zoomed() {
    const state = this.view.getState({ signals: (name) => name.startsWith(`${NEAR}_`), data: () => false });
    return Object.keys(state.signals).find((name) => !NOT_ITS_STRETCH.test(name));
  }

  /** A part of what is shown now, moved aside by a share of it; never beyond the whole. */
  look(share, aside) {
    if (!this.whole) return;
    const [from, to] = this.domain();
    const [first, last] = this.whole;
    const wide = Math.min((to - from) * share, last - first);
    const at = (from + to - wide) / 2 + aside * (to - from);
    const start = Math.min(Math.max(at, first), last - wide);
    this.show([start, start + wide]);
  }

  show([from, to]) {
    this.leave();
    const isAll = from <= this.whole[0] && to >= this.whole[1];
    this.view.signal("is_near", !isAll).signal(this.zoomed(), isAll ? null : [from, to]);
    return this.view.runAsync();
  }

  /** What is moved by hand is cut off at the axes, too, and no ring stays behind. */
  dragged(event) {
    if (event.pointerType !== "mouse" || event.buttons !== 1) return;
    this.leave();
    if (!this.view.signal("is_near")) this.view.signal("is_near", true).runAsync();
  }
}

function collect(item, found) {
  if (item.tooltip !== undefined && item.tooltip !== null && item.mark) found.push(item);
  for (const child of item.items ?? []) collect(child, found);
}

function pairsOf(value) {
  if (value === null || value === undefined || value === "") return [];
  if (typeof value !== "object") return [["", String(value)]];
  return Object.entries(value).map(([name, words]) => [name, String(words)]);
}

function told(item) {
  return JSON.stringify(item.tooltip ?? null);
}

function fromTheLeft(one, other) {
  return middle(one.box) - middle(other.box) || one.box.top - other.box.top;
}

function byRows(one, other) {
  return level(one.box) - level(other.box) || middle(one.box) - middle(other.box);
}

function level(box) {
  return Math.round((box.top + box.bottom) / 2);
}

function middle(box) {
  return Math.round((box.left + box.right) / 2);
}

function element(name, words) {
  const made = document.createElement(name);
  made.textContent = words;
  return made;
}
