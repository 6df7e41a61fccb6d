// One joint on the page: its camera, what is shown of it, what the pointer and the keys do.
"use strict";

const VIEWS = { front: [0, 0], top: [0, 90], right: [90, 0] }; // "iso" is as the data says
const AXES = { across: [1, 0, 0], level: [0, 1, 0], faces: [0, 0, 1] };
const NEAR_POINTER = 12; // pixels within which a corner or a centre is taken

function fraction(ticks) {
  let whole = 16;
  while (ticks % 2 === 0 && whole > 1) { ticks /= 2; whole /= 2; }
  return `${ticks}/${whole}`;
}

// A length in inches as the project writes it: feet and inches to 1/16, or whole millimetres.
function written(value, units) {
  if (units === "SI") return `${Math.round(Math.abs(value) * 25.4)} mm`;
  const ticks = Math.round(Math.abs(value) * 16);
  const feet = Math.floor(ticks / 192);
  const whole = Math.floor((ticks % 192) / 16);
  const part = ticks % 16;
  const inches = part ? (whole || feet ? `${whole} ${fraction(part)}` : fraction(part)) : `${whole}`;
  return feet ? `${feet}'-${inches}"` : `${inches}"`;
}

class Joint {
  constructor(box, data, painter, model) {
    this.box = box;
    this.data = data;
    this.painter = painter;
    this.canvas = box.querySelector("canvas");
    this.over = box.querySelector("svg.lettering");
    this.said = box.querySelector("output");
    this.leaves = model.leaves.map((leaf, k) => ({ ...leaf, item: data.leaves[k][0], apart: data.leaves[k][1] }));
    this.meshes = model.meshes;
    this.prepared = model.meshes.map((m) => Object.assign(painter.prepared(m), { colour: m.colour, paint: m.paint }));
    this.shown = data.items.map(() => true);
    this.chosen = -1;
    this.apart = 0;
    this.cut = null;
    this.marks = true;
    this.measuring = false;
    this.picked = [];
    this.hover = null;
    this.aim = null;
    this.wide = 300;
    this.tall = 200;
    this.settle();
    this.controls();
    this.look("iso");
    this.resize();
    new ResizeObserver(() => this.resize()).observe(this.canvas);
  }

  // Extent of everything at rest: the middle that the camera looks at, and how far it reaches.
  settle() {
    const low = [Infinity, Infinity, Infinity];
    const high = [-Infinity, -Infinity, -Infinity];
    for (const leaf of this.leaves) {
      const mesh = this.meshes[leaf.mesh];
      for (let k = 0; k < 8; k++) {
        const p = [0, 1, 2].map((j) => ((k >> j) & 1 ? mesh.high[j] : mesh.low[j]));
        for (let j = 0; j < 3; j++) {
          const v = leaf.matrix[j] * p[0] + leaf.matrix[4 + j] * p[1] + leaf.matrix[8 + j] * p[2] + leaf.matrix[12 + j];
          low[j] = Math.min(low[j], v);
          high[j] = Math.max(high[j], v);
        }
      }
    }
    this.low = low;
    this.high = high;
    this.centre = low.map((v, j) => (v + high[j]) / 2);
    this.reach = Math.hypot(...low.map((v, j) => high[j] - v)) / 2 + Math.max(...this.leaves.map((l) => Math.abs(l.apart)));
  }

  resize() {
    const sharp = Math.min(window.devicePixelRatio || 1, 2);
    const whole = this.scale / this.fit();
    this.wide = this.canvas.clientWidth || 300;
    this.tall = this.canvas.clientHeight || 200;
    this.scale = whole * this.fit();
    this.canvas.width = Math.round(this.wide * sharp);
    this.canvas.height = Math.round(this.tall * sharp);
    this.over.setAttribute("viewBox", `0 0 ${this.wide} ${this.tall}`);
    this.soon();
  }

  look(name) {
    [this.yaw, this.pitch] = VIEWS[name] || this.data.seen;
    this.turn();
    this.middle = [...this.centre];
    const spans = [this.view.right, this.view.up].map((axis) => {
      let span = 0;
      for (let j = 0; j < 3; j++) span += Math.abs(axis[j]) * (this.high[j] - this.low[j]);
      return span;
    });
    this.fit = () => Math.min((this.wide * 0.9) / spans[0], (this.tall * 0.86) / spans[1]);
    this.scale = this.fit(); // pixels per inch
    this.soon();
  }

  turn() {
    this.pitch = Math.max(-90, Math.min(90, this.pitch));
    const [y, p] = [(this.yaw * Math.PI) / 180, (this.pitch * Math.PI) / 180];
    const [sy, cy, sp, cp] = [Math.sin(y), Math.cos(y), Math.sin(p), Math.cos(p)];
    this.view = { right: [cy, 0, -sy], up: [-sy * sp, cp, -cy * sp], back: [sy * cp, sp, cy * cp] };
  }

  soon() {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => { this.waiting = false; this.draw(); });
  }

  colours() {
    const probe = getComputedStyle(this.box);
    const read = (name) => probe.getPropertyValue(name).trim().match(/\d+/g).map((v) => Number(v) / 255);
    return { accent: read("--accent-rgb"), edge: read("--edge-rgb") };
  }

  draw() {
    const placed = this.meshes.map(() => []);
    for (const leaf of this.leaves) {
      if (!this.shown[leaf.item]) continue;
      const m = [...leaf.matrix];
      m[14] += leaf.apart * this.apart;
      m[15] = leaf.item === this.chosen ? 1 : 0;
      placed[leaf.mesh].push(...m);
    }
    this.prepared.forEach((mesh, k) => this.painter.put(mesh, placed[k]));
    this.painter.paint(this, this.colours());
    this.letter();
  }

  // From a point of the joint to pixels of its canvas, and the line of sight through a pixel.
  pixel(p) {
    const d = p.map((v, j) => v - this.middle[j]);
    return [this.wide / 2 + dot(d, this.view.right) * this.scale, this.tall / 2 - dot(d, this.view.up) * this.scale, dot(d, this.view.back)];
  }

  sight(x, y) {
    const [u, v] = [(x - this.wide / 2) / this.scale, (this.tall / 2 - y) / this.scale];
    const { right, up, back } = this.view;
    const from = this.middle.map((m, j) => m + right[j] * u + up[j] * v + back[j] * 4 * this.reach);
    return { from, way: back.map((b) => -b) };
  }

  kept(p) { return !this.cut || dot(this.cut.normal, p) <= this.cut.at + 1e-6; }

  under(x, y) {
    const { from, way } = this.sight(x, y);
    let best = { along: Infinity, leaf: null };
    for (const leaf of this.leaves) {
      if (!this.shown[leaf.item]) continue;
      const m = [...leaf.matrix];
      m[14] += leaf.apart * this.apart;
      const along = meets(this.meshes[leaf.mesh], m, from, way, (p) => this.kept(p));
      if (along < best.along) best = { along, leaf };
    }
    return best.leaf ? { ...best, at: from.map((f, j) => f + way[j] * best.along) } : null;
  }

  // The corner or centre next to a pixel that can be seen there; else the surface under it.
  aimed(x, y) {
    const hit = this.under(x, y);
    let best = null;
    for (const [px, py, pz, leaf, what] of this.data.points) {
      const one = this.leaves[leaf];
      if (!this.shown[one.item]) continue;
      const at = [px, py, pz + one.apart * this.apart];
      if (!this.kept(at)) continue;
      const [sx, sy, depth] = this.pixel(at);
      const away = Math.hypot(sx - x, sy - y);
      if (away > NEAR_POINTER) continue;
      if (!best || away < best.away - 1 || (away < best.away + 1 && depth > best.depth)) best = { at, away, depth, what, item: one.item };
    }
    if (best) return best;
    return hit ? { at: hit.at, what: "surface", item: hit.leaf.item } : null;
  }

  // What lies over the picture: marks of parts, points that were measured.
  letter() {
    const parts = [];
    if (this.marks) {
      const wanted = [];
      this.data.items.forEach((item, k) => {
        if (!this.shown[k] || !item.label) return;
        const at = [item.anchor[0], item.anchor[1], item.anchor[2] + item.apart * this.apart];
        if (!this.kept(at)) return;
        const [x, y] = this.pixel(at);
        wanted.push({ x, y, to: y, text: item.label, chosen: k === this.chosen });
      });
      wanted.sort((a, b) => a.to - b.to || a.x - b.x);
      const done = [];
      for (const one of wanted) {
        const half = 3.6 * one.text.length + 4;
        while (done.some((o) => Math.abs(o.x - one.x) < half + 3.6 * o.text.length + 4 && Math.abs(o.to - one.to) < 15)) one.to += 15;
        done.push(one);
        if (one.to > one.y + 1) parts.push(["line", { x1: one.x, y1: one.y, x2: one.x, y2: one.to - 8, class: "leader" }]);
        parts.push(["text", { x: one.x, y: one.to + 4, class: one.chosen ? "mark chosen" : "mark" }, one.text]);
      }
    }
    const spots = this.picked.map((p) => this.pixel(p.at));
    if (spots.length === 2) parts.push(["line", { x1: spots[0][0], y1: spots[0][1], x2: spots[1][0], y2: spots[1][1], class: "measure" }]);
    for (const [x, y] of spots) parts.push(["circle", { cx: x, cy: y, r: 4, class: "spot" }]);
    if (spots.length === 2) {
      const [a, b] = spots;
      parts.push(["text", { x: (a[0] + b[0]) / 2, y: (a[1] + b[1]) / 2 - 8, class: "mark chosen" }, this.length()]);
    }
    if (this.hover && this.measuring) {
      const [x, y] = this.pixel(this.hover.at);
      parts.push(["circle", { cx: x, cy: y, r: this.hover.what === "surface" ? 2 : 6, class: "hover" }]);
    }
    if (this.aim && this.measuring) {
      parts.push(["path", { d: `M${this.aim[0] - 9} ${this.aim[1]}h18M${this.aim[0]} ${this.aim[1] - 9}v18`, class: "measure" }]);
    }
    this.over.replaceChildren(...parts.map(([name, attributes, text]) => {
      const node = document.createElementNS("http://www.w3.org/2000/svg", name);
      for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
      if (text) node.textContent = text;
      return node;
    }));
  }

  length() {
    const [a, b] = this.picked;
    return written(Math.hypot(...a.at.map((v, j) => v - b.at[j])), this.data.units);
  }

  say() {
    const named = (p) => `${p.what}, ${this.data.items[p.item].name}`;
    const units = this.data.units;
    if (!this.measuring) {
      this.said.textContent = this.chosen < 0 ? "" : `${this.data.items[this.chosen].name}: ${this.data.items[this.chosen].facts}`;
    } else if (this.picked.length === 2) {
      const [a, b] = this.picked;
      const each = ["along", "across", "through"].map((word, j) => `${word} ${written(a.at[j] - b.at[j], units)}`).join(", ");
      const pulled = this.apart > 0 ? " Parts are pulled apart: this is the distance as shown." : "";
      this.said.textContent = `${this.length()} (${each}) from ${named(a)} to ${named(b)}.${pulled}`;
    } else if (this.picked.length === 1) {
      this.said.textContent = `First point: ${named(this.picked[0])}. Now the second.`;
    } else {
      this.said.textContent = "Point at two corners, centres or surfaces. With keys: Enter takes what is under the cross, arrows turn, W A S D move the cross.";
    }
  }

  take(x, y) {
    if (this.measuring) {
      const point = this.aimed(x, y);
      if (!point) return;
      if (this.picked.length === 2) this.picked = [];
      this.picked.push(point);
    } else {
      const hit = this.under(x, y);
      this.choose(hit && hit.leaf.item !== this.chosen ? hit.leaf.item : -1);
    }
    this.say();
    this.soon();
  }

  choose(item) {
    this.chosen = item;
    this.box.querySelectorAll(".parts li").forEach((line, k) => line.classList.toggle("chosen", k === item));
  }

  measure(on) {
    this.measuring = on;
    this.picked = [];
    this.hover = null;
    this.aim = on && document.activeElement === this.canvas ? [this.wide / 2, this.tall / 2] : null;
    const button = this.box.querySelector("[data-do=measure]");
    button.setAttribute("aria-pressed", String(on));
    this.canvas.classList.toggle("measuring", on);
    this.say();
    this.soon();
  }

  slice() {
    const axis = AXES[this.box.querySelector("[data-do=cut]").value];
    const slide = this.box.querySelector("[data-do=cut-at]");
    const other = this.box.querySelector("[data-do=cut-side]");
    slide.disabled = other.disabled = !axis;
    if (axis) {
      const k = axis.indexOf(1);
      const at = this.low[k] + (Number(slide.value) / 1000) * (this.high[k] - this.low[k]);
      const sign = other.checked ? -1 : 1;
      this.cut = { normal: axis.map((v) => (v ? v * sign : 0)), at: at * sign };
    } else this.cut = null;
    this.soon();
  }

  controls() {
    const on = (name, event, act) => this.box.querySelectorAll(`[data-do=${name}]`).forEach((node) => node.addEventListener(event, () => act(node)));
    on("view", "click", (node) => this.look(node.value));
    on("cut", "change", () => this.slice());
    on("cut-at", "input", () => this.slice());
    on("cut-side", "change", () => this.slice());
    on("apart", "input", (node) => { this.apart = Number(node.value) / 100; this.say(); this.soon(); });
    on("marks", "change", (node) => { this.marks = node.checked; this.soon(); });
    on("measure", "click", () => this.measure(!this.measuring));
    on("part", "change", (node) => { this.shown[Number(node.value)] = node.checked; this.soon(); });
    on("all", "click", (node) => {
      this.box.querySelectorAll("[data-do=part]").forEach((tick) => {
        tick.checked = node.value === "all" || this.data.items[Number(tick.value)].group === node.value;
        this.shown[Number(tick.value)] = tick.checked;
      });
      this.soon();
    });
    let held = null;
    const spot = (event) => {
      const box = this.canvas.getBoundingClientRect();
      return [event.clientX - box.left, event.clientY - box.top];
    };
    this.canvas.addEventListener("pointerdown", (event) => {
      held = { x: event.clientX, y: event.clientY, moved: 0, shift: event.shiftKey || event.button !== 0 };
      this.canvas.setPointerCapture(event.pointerId);
    });
    this.canvas.addEventListener("pointermove", (event) => {
      this.aim = null;
      if (!held) {
        if (this.measuring) { this.hover = this.aimed(...spot(event)); this.soon(); }
        return;
      }
      const [dx, dy] = [event.clientX - held.x, event.clientY - held.y];
      held.moved += Math.abs(dx) + Math.abs(dy);
      if (held.moved < 4) return;
      held.x = event.clientX;
      held.y = event.clientY;
      this.drag(dx, dy, held.shift);
    });
    this.canvas.addEventListener("pointerup", (event) => {
      if (held && held.moved < 4) this.take(...spot(event));
      held = null;
    });
    this.canvas.addEventListener("pointercancel", () => { held = null; });
    this.canvas.addEventListener("contextmenu", (event) => event.preventDefault());
    this.canvas.addEventListener("wheel", (event) => {
      if (!event.ctrlKey && document.activeElement !== this.canvas) return; // the page scrolls until the joint was clicked
      event.preventDefault();
      this.closer(Math.exp(-event.deltaY * 0.0015));
    }, { passive: false });
    this.canvas.addEventListener("keydown", (event) => this.key(event));
    this.canvas.addEventListener("blur", () => { this.aim = null; this.soon(); });
  }

  drag(dx, dy, shift) {
    if (shift) {
      const { right, up } = this.view;
      this.middle = this.middle.map((m, j) => m - (right[j] * dx - up[j] * dy) / this.scale);
    } else {
      this.yaw -= dx * 0.5;
      this.pitch += dy * 0.5;
      this.turn();
    }
    this.soon();
  }

  closer(by) {
    this.scale = Math.max(0.2 * this.fit(), Math.min(40 * this.fit(), this.scale * by));
    this.soon();
  }

  key(event) {
    const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    const cross = { a: [-1, 0], d: [1, 0], w: [0, -1], s: [0, 1] };
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const name = event.key.length === 1 ? event.key.toLowerCase() : event.key;
    if (arrows[name]) this.drag(arrows[name][0] * 10, arrows[name][1] * 10, event.shiftKey);
    else if (cross[name] && this.measuring) {
      const from = this.aim || [this.wide / 2, this.tall / 2];
      this.aim = from.map((v, j) => v + cross[name][j] * (event.shiftKey ? 20 : 4));
      this.hover = this.aimed(...this.aim);
      this.soon();
    } else if (name === "+" || name === "=") this.closer(1.2);
    else if (name === "-") this.closer(1 / 1.2);
    else if (name === "Home") this.look("iso");
    else if (name === "m") this.measure(!this.measuring);
    else if (name === "Escape") { if (this.measuring) this.measure(false); this.choose(-1); this.say(); this.soon(); }
    else if (name === "Enter" || name === " ") this.take(...(this.aim || [this.wide / 2, this.tall / 2]));
    else return;
    event.preventDefault();
  }
}
