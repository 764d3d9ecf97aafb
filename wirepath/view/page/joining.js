// Putting together: a form glued step by step, and the van loaded box by box.

const joining = {
  index: 0,
  which: 0,

  begin() {
    if (!data.joinings.length) return;
    choices(byId("join-which"), data.joinings.map((one) => one.name));
    byId("join-which").addEventListener("change", (event) => this.open(Number(event.target.value)));
    byId("join-back").addEventListener("click", () => this.go(this.index - 1));
    byId("join-next").addEventListener("click", () => this.go(this.index + 1));
    byId("join-picture").addEventListener("keydown", (event) => {
      const way = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
      if (!way) return;
      event.preventDefault();
      this.go(this.index + way);
    });
    this.open(Math.min(kept.value.joining || 0, data.joinings.length - 1));
  },

  open(which) {
    this.which = which;
    this.shown = data.joinings[which];
    byId("join-which").value = String(which);
    byId("join-about").replaceChildren(...this.shown.about.map((text) => make("p", {}, text)));
    byId("join-steps").replaceChildren(...this.shown.steps.map((step, i) => {
      const button = make("button", { type: "button" }, make("b", {}, String(step.number)), make("span", {}, step.texts[0]));
      button.addEventListener("click", () => this.go(i));
      return make("li", {}, button);
    }));
    this.go((kept.value.joined || {})[which] || 0);
  },

  go(index) {
    const steps = this.shown.steps;
    this.index = Math.max(0, Math.min(index, steps.length - 1));
    kept.value.joining = this.which;
    kept.value.joined = { ...kept.value.joined, [this.which]: this.index };
    kept.save();
    const step = steps[this.index];
    write(byId("join-count"), say("step_of", { number: this.index + 1, total: steps.length }));
    byId("join-text").replaceChildren(...step.texts.map((text) => make("p", {}, text)));
    byId("join-back").disabled = this.index === 0;
    byId("join-next").disabled = this.index >= steps.length - 1;
    [...byId("join-steps").children].forEach((item, i) => {
      if (i === this.index) item.firstChild.setAttribute("aria-current", "step");
      else item.firstChild.removeAttribute("aria-current");
    });
    if (this.shown.kind === "form") this.form(step);
    else this.load();
  },

  /** Draw the form: what is glued already, what comes on now, its seams with their letters. */
  form(step) {
    const [x0, y0, x1, y1] = this.shown.box;
    const size = Math.max(x1 - x0, y1 - y0);
    const rim = 0.08 * size;
    const seen = this.frame(x0 - rim, y0 - rim, x1 + rim, y1 + rim);
    const now = new Set(step.moved);
    const there = new Set([...step.onto, ...this.shown.steps.slice(0, this.index).flatMap((one) => [...one.moved, ...one.onto])]);
    // What comes on now is drawn last: its line is not to be hidden.
    const order = [...this.shown.pieces].sort((a, b) => now.has(a.number) - now.has(b.number));
    for (const piece of order) {
      const state = now.has(piece.number) ? "join-now" : there.has(piece.number) ? "join-there" : "to-come";
      seen.group.append(draw("path", { class: state, d: piece.rings.map(ringPath).join(""), "fill-rule": "evenodd" }));
    }
    for (const seam of this.shown.seams) {
      const closed = step.seams.includes(seam.number);
      if (closed) for (const line of seam.lines) seen.group.append(draw("path", { class: "step-cut", d: linePath(pairs(line)) }));
      for (const line of [...seam.marks, ...seam.pins]) seen.group.append(draw("path", { class: "cut-done", d: linePath(pairs(line)) }));
    }
    for (const piece of this.shown.pieces) this.word(seen, piece.at, String(piece.number), 0.05 * size);
    for (const seam of this.shown.seams) if (step.seams.includes(seam.number)) this.word(seen, seam.at, seam.name, 0.045 * size, "join-seam");
    const up = draw("g", { transform: `translate(${x1 + 0.6 * rim} ${y1 - rim})` });
    up.append(draw("path", { class: "cut-done", d: `M0 ${-0.8 * rim}L0 ${0.6 * rim}M${-0.25 * rim} ${0.2 * rim}L0 ${0.6 * rim}L${0.25 * rim} ${0.2 * rim}` }));
    seen.group.append(up);
  },

  /** Draw the van from above and, below it, from its left side; the bulkhead is at the left. */
  load() {
    const [long, wide, high] = this.shown.van;
    const gap = 0.12 * (wide + high);
    const seen = this.frame(-0.03 * long, -high - 1.6 * gap, 1.03 * long, wide + gap);
    const views = [[1, 0, wide, this.shown.above], [2, -high - gap, high, this.shown.side]];
    for (const [axis, low, across, caption] of views) {
      seen.group.append(draw("path", { class: "van", d: `M${long} ${low}L0 ${low}L0 ${low + across}L${long} ${low + across}` }));
      this.word(seen, [long / 2, low + across + 0.35 * gap], caption, 0.3 * gap, "small");
      // From above what stands higher hides what is below it; from the side, what stands nearer.
      const order = this.shown.steps.slice(0, this.index + 1).sort((a, b) =>
        axis === 1 ? a.at[2] + a.size[2] - (b.at[2] + b.size[2]) : b.at[1] - a.at[1]);
      for (const box of order) {
        const [x, y, w, h] = [box.at[0], low + box.at[axis], box.size[0], box.size[axis]];
        const state = box === this.shown.steps[this.index] ? "join-now" : "join-there";
        seen.group.append(draw("path", { class: state, d: `M${x} ${y}h${w}v${h}h${-w}Z` }));
        this.word(seen, [x + w / 2, y + h / 2], String(box.number), Math.min(0.5 * gap, 0.8 * h));
      }
    }
  },

  frame(x0, y0, x1, y1) {
    const svg = byId("join-picture");
    svg.setAttribute("viewBox", `${x0} ${-y1} ${x1 - x0} ${y1 - y0}`);
    const group = draw("g", { transform: "scale(1 -1)" });
    const labels = draw("g");
    svg.replaceChildren(group, labels);
    return { group, labels };
  },

  word(seen, at, text, size, name = "") {
    // Words stand in the same group of shapes, turned back upright: what is drawn later hides them.
    const label = draw("text", { class: name, "font-size": size, transform: `translate(${at[0]} ${at[1]}) scale(1 -1)` }, text);
    seen.group.append(label);
  },
};
