// The picture of a layout: foam, pieces, the wire's way; zoomed and shifted by hand.

class LayoutPicture {
  constructor(svg) {
    this.svg = svg;
    this.pointers = new Map();
    svg.addEventListener("pointerdown", (event) => this.press(event));
    svg.addEventListener("pointermove", (event) => this.drag(event));
    for (const name of ["pointerup", "pointercancel"]) {
      svg.addEventListener(name, (event) => this.pointers.delete(event.pointerId));
    }
    svg.addEventListener("wheel", (event) => {
      if (!event.ctrlKey) return;
      event.preventDefault();
      this.zoom(event.deltaY < 0 ? 1.25 : 0.8, this.place(event));
    }, { passive: false });
    new ResizeObserver(() => this.layout && this.fit(this.share)).observe(svg);
  }

  /** Draw another layout, nothing cut yet. */
  show(layout) {
    this.layout = layout;
    const { width, height, trim } = layout;
    const rim = this.rim();
    this.svg.style.aspectRatio = `${width + 2 * rim} / ${height + 2 * rim}`;
    const group = draw("g", { transform: `matrix(1 0 0 -1 0 ${height})` });
    const cells = layout.cells.map((one) => one.map(ringPath).join(""));
    if (cells.length) {
      cells.forEach((d) => group.append(draw("path", { class: "foam", d })));
    } else if (layout.foam.length) {
      group.append(draw("path", { class: "foam", d: layout.foam.map(ringPath).join("") }));
    } else {
      group.append(draw("rect", { class: "foam", x: 0, y: 0, width, height }));
    }
    for (const ring of layout.blocked) group.append(draw("path", { class: "blocked", d: ringPath(ring) }));
    if (trim > 0 && !layout.foam.length) {
      group.append(draw("rect", { class: "trim", x: trim, y: trim, width: width - 2 * trim, height: height - 2 * trim }));
    }
    for (const one of layout.offcuts) {
      group.append(draw("rect", { class: "offcut", x: one.x, y: one.y, width: one.width, height: one.height }));
    }
    this.pieces = new Map();
    for (const piece of layout.pieces) {
      const shape = draw("path", { class: "piece", d: piece.rings.map(ringPath).join(""), "fill-rule": "evenodd" });
      this.pieces.set(piece.number, shape);
      group.append(shape);
    }
    cells.forEach((d) => group.append(draw("path", { class: "seam", d })));
    this.steps = layout.steps.map((step) => {
      const air = step.kind === "air" ? " air" : "";
      const line = draw("path", { class: `to-come${air}`, d: linePath(pairs(step.points)) });
      group.append(line);
      return line;
    });
    this.now = draw("path", { class: "step-now", d: "" });
    this.cut = draw("path", { class: "step-cut", d: "" });
    this.wire = draw("circle", { class: "wire-now", r: 1, visibility: "hidden" });
    group.append(this.now, this.cut, this.wire);
    this.labels = layout.pieces.map((piece) =>
      draw("text", { x: piece.at[0], y: height - piece.at[1] }, String(piece.number)));
    this.datum = draw("path", { class: "datum", d: "" });
    this.svg.replaceChildren(group, this.datum, ...this.labels);
    this.fit(1);
  }

  /** Show the steps before `index` as cut, and `share` of this one. */
  at(index, share) {
    const steps = this.layout.steps;
    this.steps.forEach((line, i) => {
      const air = steps[i].kind === "air" ? " air" : "";
      line.setAttribute("class", (i < index ? "cut-done" : "to-come") + air);
    });
    const free = new Set(steps.slice(0, index).map((step) => step.frees).filter(Boolean));
    for (const [number, shape] of this.pieces) {
      shape.setAttribute("class", `piece${free.has(number) ? " free" : ""}${ticks.has(number) ? " ticked" : ""}`);
    }
    const step = steps[index];
    this.wire.setAttribute("visibility", step ? "visible" : "hidden");
    if (!step) {
      this.now.setAttribute("d", "");
      this.cut.setAttribute("d", "");
      return;
    }
    const points = pairs(step.points);
    const done = part(points, share);
    const [x, y] = done[done.length - 1];
    this.now.setAttribute("d", linePath(points));
    this.cut.setAttribute("d", linePath(done));
    this.wire.setAttribute("cx", x);
    this.wire.setAttribute("cy", y);
    this.follow(x, this.layout.height - y);
  }

  /** Return the paper around the foam, in mm: room for the wire outside it. */
  rim() {
    const { width, height, lead } = this.layout;
    return lead + 0.03 * Math.max(width, height);
  }

  /** Zoom so that `share` of the whole is seen, 1 being all. */
  fit(share, middle = null) {
    const { width, height } = this.layout;
    const rim = this.rim();
    const box = this.svg.getBoundingClientRect();
    const tall = (box.height || 1) / (box.width || 1);
    const whole = { w: Math.max(width + 2 * rim, (height + 2 * rim) / tall), h: 0 };
    whole.h = whole.w * tall;
    this.share = Math.min(1, Math.max(0.03, share));
    const w = whole.w * this.share, h = whole.h * this.share;
    const [x, y] = this.share === 1 || !middle ? (this.share === 1 ? [width / 2, height / 2] : this.middle) : middle;
    this.middle = [x, y];
    this.view = { x: x - w / 2, y: y - h / 2, w, h };
    this.svg.setAttribute("viewBox", `${this.view.x} ${this.view.y} ${w} ${h}`);
    this.svg.classList.toggle("zoomed", this.share < 1);
    // Texts and marks keep their size on the screen, whatever the zoom.
    const unit = w / (box.width || 1);
    for (const label of this.labels) label.setAttribute("font-size", 18 * unit);
    this.wire.setAttribute("r", 8 * unit);
    const arm = 16 * unit, thick = 5 * unit;
    this.datum.setAttribute("d", `M${-thick} ${height + thick}h${arm}v${-thick}h${thick - arm}v${-arm + thick}h${-thick}z`);
  }

  zoom(factor, middle = this.middle) {
    this.fit(this.share / factor, middle);
  }

  /** Keep the wire in sight where the picture is zoomed. */
  follow(x, y) {
    if (this.share === 1 || this.pointers.size) return;
    const { x: left, y: top, w, h } = this.view;
    const out = x < left + 0.1 * w || x > left + 0.9 * w || y < top + 0.1 * h || y > top + 0.9 * h;
    if (out) this.fit(this.share, [x, y]);
  }

  shift(across, up) {
    const [x, y] = this.middle;
    this.fit(this.share, [x + across * this.view.w, y - up * this.view.h]);
  }

  place(event) {
    const box = this.svg.getBoundingClientRect();
    return [
      this.view.x + ((event.clientX - box.left) / box.width) * this.view.w,
      this.view.y + ((event.clientY - box.top) / box.height) * this.view.h,
    ];
  }

  press(event) {
    this.pointers.set(event.pointerId, [event.clientX, event.clientY]);
    if (this.share < 1 || this.pointers.size > 1) this.svg.setPointerCapture(event.pointerId);
  }

  /** One finger shifts a zoomed picture, two fingers zoom. */
  drag(event) {
    const before = this.pointers.get(event.pointerId);
    if (!before) return;
    const now = [event.clientX, event.clientY];
    const others = [...this.pointers].filter(([id]) => id !== event.pointerId).map(([, at]) => at);
    this.pointers.set(event.pointerId, now);
    const unit = this.view.w / this.svg.getBoundingClientRect().width;
    if (others.length) {
      const factor = Math.hypot(now[0] - others[0][0], now[1] - others[0][1]) /
        Math.max(1, Math.hypot(before[0] - others[0][0], before[1] - others[0][1]));
      this.zoom(factor);
    } else if (this.share < 1) {
      const [x, y] = this.middle;
      this.fit(this.share, [x - (now[0] - before[0]) * unit, y - (now[1] - before[1]) * unit]);
    }
  }
}

function linePath(points) {
  return points.map(([x, y], i) => `${i ? "L" : "M"}${x} ${y}`).join("");
}

function ringPath(flat) {
  return `${linePath(pairs(flat))}Z`;
}

/** Return the first `share` of a line. */
function part(points, share) {
  if (share >= 1) return points;
  let length = 0;
  for (let i = 1; i < points.length; i += 1) length += gap(points[i - 1], points[i]);
  let left = length * share;
  const found = [points[0]];
  for (let i = 1; i < points.length; i += 1) {
    const [a, b] = [points[i - 1], points[i]];
    const step = gap(a, b);
    if (step >= left) {
      const s = step ? left / step : 0;
      found.push([a[0] + (b[0] - a[0]) * s, a[1] + (b[1] - a[1]) * s]);
      return found;
    }
    left -= step;
    found.push(b);
  }
  return found;
}

function gap(a, b) {
  return Math.hypot(b[0] - a[0], b[1] - a[1]);
}
