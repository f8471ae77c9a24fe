// Building blocks of a screen. Text goes in as text nodes only, never as markup.

const SVG = "http://www.w3.org/2000/svg";

// `about`: attributes; one that begins with "on" is a listener; false, null and undefined are left out.
export function make(tag, about = {}, ...inside) {
  return fill(document.createElement(tag), about, inside);
}

export function draw(tag, about = {}, ...inside) {
  return fill(document.createElementNS(SVG, tag), about, inside);
}

function fill(node, about, inside) {
  for (const [name, value] of Object.entries(about)) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else node.setAttribute(name, value === true ? "" : value);
  }
  node.append(...inside.flat().filter((one) => one !== undefined && one !== null && one !== false));
  return node;
}

// `press` may be asynchronous: until it is through, the button takes no second press.
export function button(words, press, about = {}) {
  const node = make("button", { type: "button", class: "button quiet", ...about }, words);
  node.addEventListener("click", async (event) => {
    if (node.ariaBusy === "true") return;
    node.ariaBusy = "true";
    try {
      await press(event);
    } finally {
      node.ariaBusy = null;
    }
  });
  return node;
}

export function link(words, href, about = {}) {
  return make("a", { class: "button quiet", href, ...about }, words);
}

export function row(...inside) {
  return make("div", { class: "row-of-buttons" }, ...inside);
}

let names = 0;

// A section under its own heading.
export function section(heading, ...inside) {
  const id = `heading-${(names += 1)}`;
  return make("section", { "aria-labelledby": id }, make("h2", { id }, heading), ...inside);
}

// A labelled field; `help` stands between the label and the box.
export function field(label, box, help) {
  const id = `field-${(names += 1)}`;
  box.id = id;
  if (help) box.setAttribute("aria-describedby", `${id}-help`);
  return make(
    "div",
    { class: "field" },
    make("label", { for: id }, label),
    help && make("span", { class: "help", id: `${id}-help` }, help),
    box,
  );
}

// One of several, as large touch targets; `choose` is told the value.
export function choices(legend, name, all, chosen, choose, about = {}) {
  const options = all.map(([value, words]) =>
    make(
      "label",
      { class: "choice" },
      make("input", {
        type: "radio",
        name,
        value,
        checked: value === chosen,
        onchange: () => choose(value),
      }),
      make("span", {}, words),
    ),
  );
  return make("fieldset", { class: "big-choices", ...about }, make("legend", {}, legend), options);
}
