// What all parts of the page share: the plan's data, its words, elements, and what is kept.

const data = JSON.parse(document.getElementById("plan").textContent);
const words = data.words;
const byId = (id) => document.getElementById(id);
const calm = matchMedia("(prefers-reduced-motion: reduce)");

/** Return the text `name` with every {place} filled in. */
function say(name, places = {}) {
  return words[name].replace(/\{(\w+)\}/g, (whole, key) => (key in places ? String(places[key]) : whole));
}

/** Return a new element; texts are set as text, so that no name can be read as markup. */
function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === true) element.setAttribute(name, "");
    else if (value !== false && value !== null) element.setAttribute(name, value);
  }
  element.append(...children);
  return element;
}

/** Return a new SVG element. */
function draw(tag, attributes = {}, text = "") {
  const element = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  if (text) element.textContent = text;
  return element;
}

/** Return a table inside a box that scrolls sideways; columns marked "r" stand to the right. */
function table(heads, rows, align) {
  const cell = (tag, text, i) => make(tag, { class: align[i] === "r" ? "right" : null }, text);
  const body = rows.map((row) => make("tr", {}, ...row.map((text, i) => cell("td", text, i))));
  const head = make("tr", {}, ...heads.map((text, i) => cell("th", text, i)));
  return make("div", { class: "scroll", tabindex: "0" }, make("table", {}, make("thead", {}, head), make("tbody", {}, ...body)));
}

/** What stays on this device between two openings of the page: ticks, and where one was. */
const kept = {
  key: `wirepath ${data.id}`,
  stays: true,
  value: { ticks: [], layout: 0, steps: {} },
  load() {
    try {
      const text = localStorage.getItem(this.key);
      if (text) this.value = { ...this.value, ...JSON.parse(text) };
      localStorage.setItem(this.key, JSON.stringify(this.value));
    } catch {
      this.stays = false;
    }
  },
  save() {
    try {
      localStorage.setItem(this.key, JSON.stringify(this.value));
    } catch {
      this.stays = false;
    }
  },
};
kept.load();

const ticks = {
  heard: [],
  has: (number) => kept.value.ticks.includes(number),
  set(number, on) {
    const others = kept.value.ticks.filter((one) => one !== number);
    kept.value.ticks = on ? [...others, number].sort((a, b) => a - b) : others;
    this.tell();
  },
  clear() {
    kept.value.ticks = [];
    this.tell();
  },
  tell() {
    kept.save();
    for (const hear of this.heard) hear();
  },
};

/** Return [x, y] pairs of a flat list x0, y0, x1, y1, ... */
function pairs(flat) {
  const points = [];
  for (let i = 0; i < flat.length; i += 2) points.push([flat[i], flat[i + 1]]);
  return points;
}

/** Fill a select with texts; their values are their places. */
function choices(select, texts) {
  select.replaceChildren(...texts.map((text, i) => make("option", { value: i }, text)));
}
