// The wire's way, step by step: back, next, play, and the list of all steps.

const cutting = {
  picture: new LayoutPicture(byId("picture")),
  layout: null,
  index: 0,
  share: 0,
  playing: 0,

  begin() {
    choices(byId("layout"), data.layouts.map((one) => one.name));
    choices(byId("speed"), data.speeds.map((times) => (times === 1 ? words.speed_real : say("speed_times", { times }))));
    byId("speed").selectedIndex = data.speeds.length - 1;
    byId("wire-caution").textContent = words.wire_caution;
    byId("key").replaceChildren(...[
      ["to-come", words.key_to_come], ["cut-done", words.key_done], ["step-cut", words.key_now],
      ["offcut", words.key_offcut], ["to-come air", words.key_air],
    ].map(([look, text]) => {
      const sample = draw("svg", { viewBox: "0 0 34 12", "aria-hidden": "true" });
      sample.append(draw("path", { class: look, d: "M0 6H34" }));
      return make("li", {}, sample, text);
    }));
    byId("layout").addEventListener("change", (event) => this.open(Number(event.target.value)));
    byId("back").addEventListener("click", () => this.go(this.index - 1));
    byId("next").addEventListener("click", () => this.go(this.index + 1));
    byId("play").addEventListener("click", () => (this.playing ? this.stop() : this.play()));
    byId("step-slider").addEventListener("input", (event) => this.go(Number(event.target.value)));
    byId("zoom-in").addEventListener("click", () => this.picture.zoom(1.6, this.wireAt()));
    byId("zoom-out").addEventListener("click", () => this.picture.zoom(1 / 1.6));
    byId("zoom-all").addEventListener("click", () => this.picture.fit(1));
    byId("freed").addEventListener("change", (event) => ticks.set(this.freed(), event.target.checked));
    byId("picture").addEventListener("keydown", (event) => this.key(event));
    ticks.heard.push(() => this.render());
    if (data.layouts.length) this.open(Math.min(kept.value.layout, data.layouts.length - 1));
  },

  open(number) {
    this.stop();
    this.layout = data.layouts[number];
    byId("layout").value = number;
    byId("layout-about").textContent = this.layout.about;
    byId("step-slider").max = this.layout.steps.length - 1;
    byId("steps").replaceChildren(...this.layout.steps.map((step, i) => {
      const button = make("button", { type: "button" }, make("b", {}, String(i + 1)), make("span", {}, step.text));
      button.addEventListener("click", () => this.go(i));
      return make("li", {}, button);
    }));
    this.picture.show(this.layout);
    kept.value.layout = number;
    this.go(kept.value.steps[number] || 0);
  },

  /** Stand at the beginning of a step, or at the end of the last one. */
  go(index) {
    this.stop();
    this.set(Math.max(0, Math.min(index, this.layout.steps.length - 1)), 0);
  },

  set(index, share) {
    const moved = index !== this.index || !this.shownOnce;
    this.shownOnce = true;
    this.index = index;
    this.share = share;
    if (moved) {
      kept.value.steps[data.layouts.indexOf(this.layout)] = index;
      kept.save();
    }
    this.render();
  },

  freed() {
    const step = this.layout.steps[this.index];
    return step ? step.frees : null;
  },

  wireAt() {
    const step = this.layout.steps[this.index];
    if (!step) return this.picture.middle;
    const done = part(pairs(step.points), this.share);
    const [x, y] = done[done.length - 1];
    return [x, this.layout.height - y];
  },

  render() {
    const steps = this.layout.steps;
    const step = steps[this.index];
    this.picture.at(this.index, this.share);
    write(byId("step-count"), say("step_of", { number: this.index + 1, total: steps.length }));
    write(byId("step-text"), step ? step.text : "");
    byId("step-slider").value = this.index;
    byId("step-slider").setAttribute("aria-valuetext", say("step_of", { number: this.index + 1, total: steps.length }));
    byId("back").disabled = this.index === 0;
    byId("next").disabled = this.index >= steps.length - 1;
    write(byId("play"), this.playing ? words.pause : words.play);
    const number = this.freed();
    byId("freed-row").hidden = !number;
    if (number) {
      byId("freed").checked = ticks.has(number);
      byId("freed-row").querySelector("span").textContent = say("tick_piece", { piece: data.pieces[number - 1].title });
    }
    [...byId("steps").children].forEach((item, i) => {
      const button = item.firstChild;
      if ((i === this.index) === button.hasAttribute("aria-current")) return;
      if (i === this.index) button.setAttribute("aria-current", "step");
      else button.removeAttribute("aria-current");
    });
    const list = byId("steps"), here = list.children[this.index];
    // Scroll the list alone, never the page under a reader's finger.
    if (here && list.scrollHeight > list.clientHeight) {
      const top = here.offsetTop - list.offsetTop;
      if (top < list.scrollTop || top + here.offsetHeight > list.scrollTop + list.clientHeight) list.scrollTop = top - 60;
    }
  },

  play() {
    const steps = this.layout.steps;
    if (this.index >= steps.length - 1) this.set(0, 0);
    let before = null;
    const still = calm.matches;
    const tick = (now) => {
      if (!this.playing) return;
      const step = steps[this.index];
      const speed = data.speeds[byId("speed").selectedIndex];
      const seconds = Math.max(step.seconds / speed, still ? 2.5 : 0.4);
      const share = before === null ? this.share : this.share + (now - before) / 1000 / seconds;
      before = now;
      if (share < 1) {
        // With reduced motion asked for, a step is shown whole and then the next one.
        if (still) this.share = share;
        else this.set(this.index, share);
      } else if (this.index < steps.length - 1) {
        this.set(this.index + 1, 0);
      } else {
        this.stop();
        this.set(this.index, 1);
        return;
      }
      this.playing = requestAnimationFrame(tick);
    };
    this.playing = requestAnimationFrame(tick);
    this.render();
  },

  stop() {
    if (!this.playing) return;
    cancelAnimationFrame(this.playing);
    this.playing = 0;
    this.render();
  },

  key(event) {
    const zoomed = this.picture.share < 1;
    const actions = {
      ArrowRight: () => (zoomed ? this.picture.shift(0.2, 0) : this.go(this.index + 1)),
      ArrowLeft: () => (zoomed ? this.picture.shift(-0.2, 0) : this.go(this.index - 1)),
      ArrowUp: () => zoomed && this.picture.shift(0, 0.2),
      ArrowDown: () => zoomed && this.picture.shift(0, -0.2),
      "+": () => this.picture.zoom(1.6, this.wireAt()),
      "-": () => this.picture.zoom(1 / 1.6),
      0: () => this.picture.fit(1),
      " ": () => (this.playing ? this.stop() : this.play()),
    };
    if (!(event.key in actions) || event.ctrlKey || event.altKey || event.metaKey) return;
    if (!zoomed && (event.key === "ArrowUp" || event.key === "ArrowDown")) return;
    event.preventDefault();
    actions[event.key]();
  },
};

/** Set a text only where it differs, so that it is not read aloud again. */
function write(element, text) {
  if (element.textContent !== text) element.textContent = text;
}
