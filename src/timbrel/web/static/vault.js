// The vault to look at and to lay tile by tile: toolbar, player and picking over one of two views.
// Solid (three dimensions) is used where the browser draws it, flat (from above) where it does not.

const HOLD_MS = 450;

const wantsSolid = "WebGL2RenderingContext" in window && !document.documentElement.hasAttribute("data-flat");

/** The canvas's own drawing context, made once: where WebGL is drawn by software it takes its time. */
function contextOf(canvas) {
  try {
    const ratio = Math.min(devicePixelRatio || 1, 2);
    canvas.width = Math.floor(canvas.clientWidth * ratio) || canvas.width;
    canvas.height = Math.floor(canvas.clientHeight * ratio) || canvas.height;
    return canvas.getContext("webgl2", { alpha: true, antialias: true, preserveDrawingBuffer: true });
  } catch {
    return null;
  }
}

async function makeView(canvas) {
  if (wantsSolid) {
    const coming = import("timbrel/solid");
    coming.catch(() => {});
    const context = contextOf(canvas);
    if (context) {
      try {
        return new (await coming).Solid(canvas, context);
      } catch (error) {
        console.warn("no view in three dimensions:", error);
        const fresh = canvas.cloneNode();
        canvas.replaceWith(fresh);
        canvas = fresh;
      }
    }
  }
  const { Flat } = await import("timbrel/flat");
  return new Flat(canvas);
}

/** Fill the places of a sentence: "{name}, course {course}". */
function fill(sentence, values) {
  return sentence.replace(/\{(\w+)\}/g, (_, key) => values[key] ?? "");
}

/** Which tile of which layer lies at a step, and how many are laid by then. */
export class Order {
  constructor(model) {
    this.steps = model.steps;
    this.stepOf = model.layers.map((layer) => new Int32Array(layer.names.length).fill(-1));
    model.steps.forEach((step, k) => {
      for (const i of step.tiles) this.stepOf[step.layer][i] = k;
    });
    for (const steps of this.stepOf) steps.forEach((k, i) => { if (k < 0) steps[i] = model.steps.length - 1; });
  }
  get last() {
    return this.steps.length - 1;
  }
}

/** The panel: an element with [data-vault] that holds the canvas, the toolbar and the player. */
export class Panel {
  constructor(root) {
    this.root = root;
    this.timer = 0;
    this.view = null;
    this.step = Infinity;
    this.part = (name) => root.querySelector(`[data-part="${name}"]`);
    root.addEventListener("change", (event) => this.changed(event));
    root.addEventListener("input", (event) => this.changed(event));
    root.addEventListener("click", (event) => this.clicked(event));
  }

  /** Begin to make the view, which can be done while the model is still on its way. */
  prepare() {
    this.coming ??= makeView(this.part("canvas"));
    return this.coming;
  }

  /** Show a model; what was switched on or off and the step stay as they were. */
  async show(model) {
    this.view = await this.prepare();
    const wasAtEnd = !this.order || this.step >= this.order.last;
    this.pause();
    this.model = model;
    this.order = new Order(model);
    this.view.load({ ...model, order: this.order });
    this.root.dataset.view = this.view.kind;
    this.part("flat-note").hidden = this.view.kind !== "flat";
    this.view.onPick = (layer, tile) => this.picked(layer, tile);
    this.listLayers();
    this.offerParts();
    const slider = this.part("step");
    slider.max = String(this.order.last);
    if (wasAtEnd) { this.goTo(this.order.last); this.part("stop").hidden = true; this.part("said").textContent = model.words.whole; }
    else this.goTo(this.step);
    this.applySwitches();
    this.root.dataset.ready = model.revision;
    this.root.removeAttribute("aria-busy");
  }

  listLayers() {
    const box = this.part("layers");
    const off = new Set([...box.querySelectorAll("input:not(:checked)")].map((i) => i.value));
    box.replaceChildren(...this.model.layers.map((layer, n) => {
      const label = document.createElement("label");
      const input = document.createElement("input");
      Object.assign(input, { type: "checkbox", value: String(n), checked: !off.has(String(n)) });
      input.dataset.switch = "layer";
      label.append(input, " ", layer.label);
      return label;
    }));
  }

  /** What this vault does not have, or this view cannot show, is not offered. */
  offerParts() {
    const { centring, thrust, hinges, net } = this.model;
    const held = { centring, thrust, hinges, net, section: this.view.kind === "solid" ? [1] : [] };
    for (const [name, parts] of Object.entries(held)) {
      this.root.querySelector(`[data-switch="${name}"]`).closest("label").hidden = !parts.length;
    }
  }

  applySwitches() {
    for (const input of this.root.querySelectorAll("[data-switch]")) this.applySwitch(input);
    this.view.draw();
  }

  applySwitch(input) {
    if (input.dataset.switch === "layer") this.view.showLayer(Number(input.value), input.checked);
    else if (input.dataset.switch === "section") this.view.cut(Number(input.value) / 100);
    else this.view.showPart(input.dataset.switch, input.checked);
  }

  changed(event) {
    const input = event.target;
    if (!this.view) return;
    if (input.dataset.part === "step") { this.pause(); this.goTo(Number(input.value)); }
    else if (input.dataset.switch) { this.applySwitch(input); this.view.draw(); }
  }

  clicked(event) {
    const act = event.target.closest("[data-act]")?.dataset.act;
    if (!act || !this.view) return;
    ({
      first: () => { this.pause(); this.goTo(0); },
      back: () => { this.pause(); this.goTo(this.step - 1); },
      next: () => { this.pause(); this.goTo(this.step + 1); },
      last: () => { this.pause(); this.goTo(this.order.last); },
      play: () => (this.timer ? this.pause() : this.play()),
      home: () => this.view.home(),
      in: () => this.view.zoom(1.25),
      out: () => this.view.zoom(0.8),
      left: () => this.view.turn(-1),
      right: () => this.view.turn(1),
    })[act]?.();
  }

  play() {
    if (this.step >= this.order.last) this.goTo(0);
    const speed = Number(this.part("speed").value) || 1;
    this.timer = setInterval(() => {
      if (this.step >= this.order.last) { this.pause(); return; }
      this.goTo(this.step + 1);
      if (this.order.steps[this.step].stop) this.pause();
    }, HOLD_MS / speed);
    this.marked(true);
  }

  pause() {
    clearInterval(this.timer);
    this.timer = 0;
    this.marked(false);
  }

  marked(playing) {
    const button = this.root.querySelector('[data-act="play"]');
    button.setAttribute("aria-pressed", String(playing));
    button.textContent = playing ? button.dataset.pause : button.dataset.play;
  }

  goTo(k) {
    this.step = Math.max(0, Math.min(k, this.order.last));
    const step = this.order.steps[this.step];
    if (!step) return;
    this.part("step").value = String(this.step);
    this.part("step").setAttribute("aria-valuetext", step.text);
    this.part("said").textContent = fill(this.model.words.step, { n: this.step + 1, of: this.order.last + 1, text: step.text });
    const stop = this.part("stop");
    stop.hidden = !step.stop;
    stop.querySelector("[data-part='stop-text']").textContent = step.stop || "";
    this.view.upTo(this.step, step);
    this.view.draw();
    this.root.dataset.step = String(this.step);
  }

  picked(layer, tile) {
    const said = this.part("picked");
    if (layer < 0) { said.textContent = this.model.words.none; return; }
    const from = this.model.layers[layer];
    said.textContent = fill(this.model.words.tile, {
      name: from.names[tile], layer: from.label, size: from.sizes[from.size[tile]], kind: this.model.words.kinds[from.kinds[tile]],
    });
  }
}

/** Find a tile by its name, "1-07-12". */
export function findTile(model, name) {
  for (let n = 0; n < model.layers.length; n++) {
    const i = model.layers[n].names.indexOf(name.trim());
    if (i >= 0) return [n, i];
  }
  return [-1, -1];
}
