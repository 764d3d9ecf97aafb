// A solid picture that can be turned: upright prisms, seen from far away (no perspective).
//
// Prisms stand in layers along z that do not overlap, so layers are drawn from the far one
// to the near one. Within a layer the walls that face the eye come first, far to near, and
// the caps that face it last: no wall of a layer stands in front of its own near cap.

const WALL_PARTS = 24;

class SolidPicture {
  constructor(canvas, buttons) {
    this.canvas = canvas;
    this.yaw = -0.6;
    this.pitch = 0.45;
    this.solid = null;
    // While roughing: the block that is cut now, and the wire's two ends.
    this.block = null;
    this.wire = null;
    canvas.addEventListener("pointerdown", (event) => {
      canvas.setPointerCapture(event.pointerId);
      this.from = [event.clientX, event.clientY];
    });
    canvas.addEventListener("pointermove", (event) => {
      if (!this.from) return;
      this.turn((event.clientX - this.from[0]) * 0.01, (event.clientY - this.from[1]) * 0.01);
      this.from = [event.clientX, event.clientY];
    });
    for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, () => { this.from = null; });
    const ways = [
      ["turn_left", "←", "ArrowLeft", -0.2, 0], ["turn_right", "→", "ArrowRight", 0.2, 0],
      ["turn_up", "↑", "ArrowUp", 0, -0.2], ["turn_down", "↓", "ArrowDown", 0, 0.2],
    ];
    canvas.addEventListener("keydown", (event) => {
      const way = ways.find((one) => one[2] === event.key);
      if (!way) return;
      event.preventDefault();
      this.turn(way[3], way[4]);
    });
    for (const [word, sign, , yaw, pitch] of ways) {
      const button = make("button", { type: "button", "aria-label": words[word] }, sign);
      button.addEventListener("click", () => this.turn(yaw, pitch));
      buttons.append(button);
    }
    const front = make("button", { type: "button" }, words.turn_front);
    front.addEventListener("click", () => {
      this.yaw = this.pitch = 0;
      this.render();
    });
    buttons.append(front);
    new ResizeObserver(() => this.render()).observe(canvas);
  }

  turn(yaw, pitch) {
    this.yaw += yaw;
    this.pitch = Math.max(-Math.PI / 2, Math.min(Math.PI / 2, this.pitch + pitch));
    this.render();
  }

  show(solid) {
    this.solid = solid;
    this.layers = solid.layers.map((layer) => ({
      ...layer,
      prisms: layer.prisms.map((prism) => ({ ...prism, rings: prism.rings.map(pairs) })),
    }));
    const [x0, y0, z0, x1, y1, z1] = solid.box;
    this.middle = [(x0 + x1) / 2, (y0 + y1) / 2, (z0 + z1) / 2];
    this.radius = Math.hypot(x1 - x0, y1 - y0, z1 - z0) / 2;
    const longest = Math.max(x1 - x0, y1 - y0);
    for (const layer of this.layers) {
      layer.walls = layer.prisms.flatMap((prism) => prism.rings.flatMap((ring) => walls(ring, prism, longest / WALL_PARTS)));
    }
    this.render();
  }

  /** Return where a point of the solid is seen: across, up, and how near. */
  see([x, y, z]) {
    const [a, b, c] = [x - this.middle[0], y - this.middle[1], z - this.middle[2]];
    const [sy, cy, sp, cp] = [Math.sin(this.yaw), Math.cos(this.yaw), Math.sin(this.pitch), Math.cos(this.pitch)];
    const across = a * cy + c * sy;
    const away = -a * sy + c * cy;
    return [across, b * cp - away * sp, b * sp + away * cp];
  }

  /** Return the way to the eye in the solid's own frame. */
  eye() {
    const [sy, cy, sp, cp] = [Math.sin(this.yaw), Math.cos(this.yaw), Math.sin(this.pitch), Math.cos(this.pitch)];
    return [-sy * cp, sp, cy * cp];
  }

  render() {
    const box = this.canvas.getBoundingClientRect();
    if (!this.solid || !box.width) return;
    const sharp = window.devicePixelRatio || 1;
    this.canvas.width = Math.round(box.width * sharp);
    this.canvas.height = Math.round(box.height * sharp);
    const pen = this.canvas.getContext("2d");
    pen.scale(sharp, sharp);
    const scale = Math.min((0.7 * Math.min(box.width, box.height)) / this.radius, this.widest(box));
    const flat = (point) => {
      const [across, up] = this.see(point);
      return [box.width / 2 + across * scale, box.height / 2 - up * scale];
    };
    pen.lineJoin = "round";
    const eye = this.eye();
    this.frame(pen, flat, eye, false);
    const front = eye[2] >= 0;
    const layers = [...this.layers].sort((a, b) => (front ? a.from - b.from : b.from - a.from));
    for (const layer of layers) {
      const seen = layer.walls.filter((wall) => wall.out[0] * eye[0] + wall.out[1] * eye[1] > 1e-6);
      seen.sort((a, b) => a.middle[0] * eye[0] + a.middle[1] * eye[1] - b.middle[0] * eye[0] - b.middle[1] * eye[1]);
      for (const wall of seen) {
        const light = wall.out[0] * -0.45 + wall.out[1] * 0.75;
        pen.fillStyle = pen.strokeStyle = grey(198 + 34 * light);
        pen.lineWidth = 1;
        pen.beginPath();
        trace(pen, flat, wall.corners);
        pen.fill();
        pen.stroke();
        if (!wall.edge) continue;
        pen.strokeStyle = "#444";
        pen.beginPath();
        pen.moveTo(...flat(wall.corners[0]));
        pen.lineTo(...flat(wall.corners[3]));
        pen.stroke();
      }
      for (const prism of layer.prisms) {
        const z = front ? prism.to : prism.from;
        pen.beginPath();
        for (const ring of prism.rings) trace(pen, flat, ring.map(([x, y]) => [x, y, z]));
        pen.fillStyle = grey(front ? 250 : 225);
        pen.fill("evenodd");
        pen.strokeStyle = "#111";
        pen.lineWidth = 1.5;
        pen.stroke();
      }
    }
    this.frame(pen, flat, eye, true);
    this.labels(pen, flat, eye);
    if (this.wire) this.strand(pen, flat);
  }

  /** Return the scale at which the box just fits, turned as it is. */
  widest(box) {
    const seen = corners(this.solid.box).map((corner) => this.see(corner));
    const across = Math.max(...seen.map((one) => Math.abs(one[0])));
    const up = Math.max(...seen.map((one) => Math.abs(one[1])));
    return 0.92 * Math.min(box.width / 2 / across, box.height / 2 / up);
  }

  /** Draw the block's edges: those behind before the pieces, thin; those in front after them. */
  frame(pen, flat, eye, near) {
    const points = corners(this.block || this.solid.box);
    pen.strokeStyle = near ? "#111" : "#8a8a8a";
    pen.lineWidth = 1;
    for (let i = 0; i < 8; i += 1) {
      for (const axis of [0, 1, 2]) {
        const j = i | (1 << axis);
        if (j === i) continue;
        // An edge is in front when one of its two faces looks at the eye.
        const faces = [0, 1, 2].filter((one) => one !== axis);
        const looks = faces.some((one) => (i & (1 << one) ? 1 : -1) * eye[one] > 1e-6);
        if (looks !== near) continue;
        pen.beginPath();
        pen.moveTo(...flat(points[i]));
        pen.lineTo(...flat(points[j]));
        pen.stroke();
      }
    }
  }

  labels(pen, flat, eye) {
    pen.font = "bold 16px sans-serif";
    pen.textAlign = "center";
    pen.textBaseline = "middle";
    pen.lineWidth = 4;
    pen.strokeStyle = "#fff";
    pen.fillStyle = "#111";
    if (eye[2] < 0) return;
    const layers = this.layers.filter((layer) => layer.labelled);
    for (const prism of layers.flatMap((layer) => layer.prisms)) {
      if (!prism.label) continue;
      const [x, y] = flat([...prism.at, prism.to]);
      pen.strokeText(prism.label, x, y);
      pen.fillText(prism.label, x, y);
    }
  }

  /** Draw a roughing cut: the lines its two ends follow, and the wire where it begins. */
  strand(pen, flat) {
    const stroke = (points, width, colour) => {
      pen.beginPath();
      points.forEach((point, i) => (i ? pen.lineTo(...flat(point)) : pen.moveTo(...flat(point))));
      pen.lineWidth = width;
      pen.strokeStyle = colour;
      pen.stroke();
    };
    for (const sheet of this.wire) {
      pen.beginPath();
      trace(pen, flat, [...sheet.near, ...[...sheet.far].reverse()]);
      pen.fillStyle = "rgba(179, 36, 10, .18)";
      pen.fill();
      stroke(sheet.near, 2.5, "#b3240a");
      stroke(sheet.far, 2.5, "#b3240a");
      for (let i = 0; i < sheet.near.length; i += 1) {
        if (i % Math.max(1, Math.round(sheet.near.length / 12)) === 0) stroke([sheet.near[i], sheet.far[i]], 1, "#b3240a");
      }
      stroke([sheet.near[0], sheet.far[0]], 5, "#b3240a");
    }
  }
}

function trace(pen, flat, points) {
  points.forEach((point, i) => (i ? pen.lineTo(...flat(point)) : pen.moveTo(...flat(point))));
  pen.closePath();
}

/** Return the eight corners of a box; the bits of their place say low or high in x, y, z. */
function corners(box) {
  return [0, 1, 2, 3, 4, 5, 6, 7].map((i) => [box[i & 1 ? 3 : 0], box[i & 2 ? 4 : 1], box[i & 4 ? 5 : 2]]);
}

/** Return a ring's walls, long ones in parts, so that sorting by their middles is right. */
function walls(ring, prism, longest) {
  const found = [];
  // Where the ring turns sharply an edge is drawn, at the beginning of the next wall.
  let before = null;
  for (let i = 1; i < ring.length; i += 1) {
    const [a, b] = [ring[i - 1], ring[i]];
    const length = gap(a, b);
    if (!length) continue;
    const count = Math.max(1, Math.ceil(length / longest));
    // Foam lies to the left of every ring: the way out is to the right.
    const out = [(b[1] - a[1]) / length, (a[0] - b[0]) / length];
    const edge = before !== null && before[0] * out[0] + before[1] * out[1] < 0.87;
    before = out;
    for (let k = 0; k < count; k += 1) {
      const at = (s) => [a[0] + (b[0] - a[0]) * s, a[1] + (b[1] - a[1]) * s];
      const [p, q] = [at(k / count), at((k + 1) / count)];
      found.push({
        out,
        edge: edge && k === 0,
        middle: [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2],
        corners: [[...p, prism.from], [...q, prism.from], [...q, prism.to], [...p, prism.to]],
      });
    }
  }
  return found;
}

function grey(level) {
  const value = Math.round(Math.max(120, Math.min(255, level)));
  return `rgb(${value}, ${value}, ${Math.round(value * 0.97)})`;
}

const solids = {
  begin() {
    const picture = new SolidPicture(byId("solid-picture"), byId("solid-turn"));
    choices(byId("solid-which"), data.solids.map((one) => one.name));
    byId("solid-which").addEventListener("change", (event) => picture.show(data.solids[Number(event.target.value)]));
    if (data.solids.length) picture.show(data.solids[0]);
    this.picture = picture;
  },
};
