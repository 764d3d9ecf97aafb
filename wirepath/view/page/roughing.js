// Roughing in order of work: each cut in the solid picture and in its own cutting plane.

const roughing = {
  index: 0,
  shown: "before",

  begin() {
    if (!data.roughing.length) return;
    this.picture = new SolidPicture(byId("rough-solid"), byId("rough-turn"));
    choices(byId("rough-form"), data.roughing.map((one) => one.name));
    byId("rough-form").addEventListener("change", (event) => this.open(Number(event.target.value)));
    for (const [what, word] of [["before", words.show_before], ["after", words.show_after], ["form", words.show_form]]) {
      const button = make("button", { type: "button", "data-what": what }, word);
      button.addEventListener("click", () => {
        this.shown = what;
        this.solid();
      });
      byId("rough-what").append(button);
    }
    byId("rough-back").addEventListener("click", () => this.go(this.index - 1));
    byId("rough-next").addEventListener("click", () => this.go(this.index + 1));
    this.open(0);
  },

  open(number) {
    this.form = data.roughing[number];
    byId("rough-about").replaceChildren(...terms(this.form.about));
    byId("rough-cuts").replaceChildren(...this.form.cuts.map((cut, i) => {
      const button = make("button", { type: "button" }, make("b", {}, String(cut.number)), make("span", {}, cut.title));
      button.addEventListener("click", () => this.go(i));
      return make("li", {}, button);
    }));
    this.go(0);
  },

  go(index) {
    const cuts = this.form.cuts;
    this.index = Math.max(0, Math.min(index, cuts.length - 1));
    const cut = cuts[this.index];
    write(byId("rough-count"), say("cut_of", { number: this.index + 1, total: cuts.length }));
    byId("rough-text").replaceChildren(...cut.texts.map((text) => make("p", {}, text)));
    byId("rough-back").disabled = this.index === 0;
    byId("rough-next").disabled = this.index >= cuts.length - 1;
    byId("rough-marks").replaceChildren(...(cut.marks.length ? [table(data.mark_heads, cut.marks, "rll")] : []));
    [...byId("rough-cuts").children].forEach((item, i) => {
      if (i === this.index) item.firstChild.setAttribute("aria-current", "step");
      else item.firstChild.removeAttribute("aria-current");
    });
    this.plane(cut);
    this.picture.wire = cut.strands.map((strand) => ({ near: triples(strand.near), far: triples(strand.far) }));
    this.picture.block = cut.box;
    this.solid();
  },

  /** Show the block before or after this cut, or the form that is in it. */
  solid() {
    const cut = this.form.cuts[this.index];
    for (const button of byId("rough-what").children) button.setAttribute("aria-pressed", String(button.dataset.what === this.shown));
    const states = this.form.blocks[cut.blank];
    const layers = states[this.shown === "before" ? cut.made - 1 : cut.made];
    this.picture.show(this.shown === "form" ? this.form.solid : { ...this.form.solid, layers });
  },

  /** Draw the block's shadow, what stays, and the wire's way, as one looks along the wire. */
  plane(cut) {
    const svg = byId("rough-plane");
    const [x0, y0, x1, y1] = cut.frame;
    const rim = 0.06 * Math.max(x1 - x0, y1 - y0);
    svg.setAttribute("viewBox", `${x0 - rim} ${-(y1 + rim)} ${x1 - x0 + 2 * rim} ${y1 - y0 + 2 * rim}`);
    const group = draw("g", { transform: "scale(1 -1)" });
    group.append(draw("path", { class: "foam", d: ringPath(cut.shadow) }));
    for (const ring of cut.kept) group.append(draw("path", { class: "kept", d: ringPath(ring), "fill-rule": "evenodd" }));
    for (const line of cut.lines) group.append(draw("path", { class: "step-cut", d: linePath(pairs(line)) }));
    for (const line of cut.slits) group.append(draw("path", { class: "cut-done", d: linePath(pairs(line)) }));
    for (const line of cut.upper) group.append(draw("path", { class: "step-cut air", d: linePath(pairs(line)) }));
    svg.replaceChildren(group);
  },
};

function triples(flat) {
  const points = [];
  for (let i = 0; i < flat.length; i += 3) points.push(flat.slice(i, i + 3));
  return points;
}
