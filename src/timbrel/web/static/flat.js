// The vault from above, drawn with lines: for browsers that do not draw in three dimensions.
// Layers, steps and picking work as in the solid view; there is no section to cut.

const TONES = ["#e9cdbb", "#e3c3a4", "#d9b79b", "#eadac6", "#d8bba6", "#efe0cc"];
const INK = "#26323d";

export class Flat {
  /** A view on a canvas; `load` gives it a model. */
  constructor(canvas) {
    this.kind = "flat";
    this.canvas = canvas;
    this.on = {};
    this.scale = 1;
    this.turned = 0;
    this.pan = [0, 0];
    this.step = 0;
    this.ctx = canvas.getContext("2d");
    this.resizer = new ResizeObserver(() => this.draw());
    this.resizer.observe(canvas);
    this.down = (e) => { this.from = [e.clientX, e.clientY]; this.moved = false; canvas.setPointerCapture?.(e.pointerId); };
    this.move = (e) => {
      if (!this.from) return;
      const [dx, dy] = [e.clientX - this.from[0], e.clientY - this.from[1]];
      if (!this.moved && Math.hypot(dx, dy) < 6) return;
      this.moved = true;
      this.from = [e.clientX, e.clientY];
      this.pan = [this.pan[0] + dx, this.pan[1] + dy];
      this.draw();
    };
    this.up = (e) => { if (this.from && !this.moved) this.pick(e); this.from = null; };
    canvas.addEventListener("pointerdown", this.down);
    canvas.addEventListener("pointermove", this.move);
    canvas.addEventListener("pointerup", this.up);
  }

  /** Show a model in the place of the one before; zoom and turn stay. */
  load(model) {
    this.model = model;
    this.shown = model.layers.map(() => true);
  }

  showLayer(n, shown) { this.shown[n] = shown; }
  showPart(name, shown) { this.on[name] = shown; }
  cut() {}
  upTo(k, step) { this.step = k; this.centring = step.centring; }
  home() { this.scale = 1; this.turned = 0; this.pan = [0, 0]; this.draw(); }
  zoom(times) { this.scale *= times; this.draw(); }
  turn(way) { this.turned += way; this.draw(); }

  /** From metres to the canvas: fitted, turned by quarters, zoomed and moved. */
  mapping() {
    const [low, high] = this.model.box;
    const { width, height } = this.canvas;
    const quarter = ((this.turned % 4) + 4) % 4;
    const [w, h] = quarter % 2 ? [high[1] - low[1], high[0] - low[0]] : [high[0] - low[0], high[1] - low[1]];
    const s = 0.92 * Math.min(width / w, height / h) * this.scale;
    const ratio = devicePixelRatio || 1;
    const [cx, cy] = [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2];
    const [cos, sin] = [[1, 0], [0, 1], [-1, 0], [0, -1]][quarter];
    return (x, y) => {
      const [dx, dy] = [x - cx, y - cy];
      return [width / 2 + s * (cos * dx - sin * dy) + this.pan[0] * ratio, height / 2 - s * (sin * dx + cos * dy) + this.pan[1] * ratio];
    };
  }

  draw() {
    if (this.waiting || !this.model) return;
    this.waiting = true;
    requestAnimationFrame(() => { this.waiting = false; this.paint(); });
  }

  paint() {
    const { canvas, ctx } = this;
    const ratio = devicePixelRatio || 1;
    canvas.width = canvas.clientWidth * ratio;
    canvas.height = canvas.clientHeight * ratio;
    if (!canvas.width || !canvas.height) return;
    ctx.fillStyle = "#fbf8ef";
    ctx.fillRect(0, 0, canvas.width, canvas.height);
    const at = this.mapping();
    ctx.lineWidth = 0.7 * ratio;
    ctx.strokeStyle = INK;
    if (this.on.room !== false) for (const wall of this.model.walls) this.outline(wall.foot.map(([x, y]) => at(x, y)), "#ddd6c6");
    this.model.layers.forEach((layer, n) => {
      if (!this.shown[n]) return;
      const steps = this.model.order.stepOf[n];
      layer.names.forEach((_, i) => {
        if (steps[i] <= this.step) this.outline(this.polygon(layer, i).map(([x, y]) => at(x, y)), n === this.marked?.[0] && i === this.marked?.[1] ? "#9cc4d6" : TONES[n % TONES.length]);
      });
    });
    const ribs = this.on.centring !== false && this.centring != null ? this.model.centring[this.centring] : [];
    ctx.lineWidth = 4 * ratio;
    ctx.strokeStyle = "#9a7420";
    for (const rib of ribs) this.line(rib.map(([x, y]) => at(x, y)));
    ctx.lineWidth = 2 * ratio;
    ctx.strokeStyle = "#1b4f8a";
    if (this.on.thrust !== false) for (const line of this.model.thrust) this.line(line.map(([x, y]) => at(x, y)));
    if (this.on.net !== false) for (const [p, q] of this.model.net) this.line([at(p[0], p[1]), at(q[0], q[1])]);
    ctx.fillStyle = "#8a1f11";
    if (this.on.hinges !== false) for (const [x, y] of this.model.hinges) { const [px, py] = at(x, y); ctx.fillRect(px - 4 * ratio, py - 4 * ratio, 8 * ratio, 8 * ratio); }
  }

  polygon(layer, i) {
    const points = [];
    for (let k = layer.start[i]; k < layer.start[i + 1]; k++) points.push([layer.corners[3 * k], layer.corners[3 * k + 1]]);
    return points;
  }

  line(points) {
    this.ctx.beginPath();
    points.forEach(([x, y], k) => (k ? this.ctx.lineTo(x, y) : this.ctx.moveTo(x, y)));
    this.ctx.stroke();
  }

  outline(points, fill) {
    this.ctx.beginPath();
    points.forEach(([x, y], k) => (k ? this.ctx.lineTo(x, y) : this.ctx.moveTo(x, y)));
    this.ctx.closePath();
    this.ctx.fillStyle = fill;
    this.ctx.fill();
    this.ctx.stroke();
  }

  pick(event) {
    const frame = this.canvas.getBoundingClientRect();
    const ratio = devicePixelRatio || 1;
    const [px, py] = [(event.clientX - frame.left) * ratio, (event.clientY - frame.top) * ratio];
    const at = this.mapping();
    let found = [-1, -1];
    this.model.layers.forEach((layer, n) => {
      if (!this.shown[n]) return;
      const steps = this.model.order.stepOf[n];
      layer.names.forEach((_, i) => {
        if (steps[i] <= this.step && inside(this.polygon(layer, i).map(([x, y]) => at(x, y)), px, py)) found = [n, i];
      });
    });
    this.marked = found;
    this.draw();
    this.onPick?.(...found);
  }
}

function inside(points, x, y) {
  let odd = false;
  for (let i = 0, j = points.length - 1; i < points.length; j = i++) {
    const [[xi, yi], [xj, yj]] = [points[i], points[j]];
    if (yi > y !== yj > y && x < ((xj - xi) * (y - yi)) / (yj - yi) + xi) odd = !odd;
  }
  return odd;
}
