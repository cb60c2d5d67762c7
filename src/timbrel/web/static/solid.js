// The vault in three dimensions: tiles as instanced boxes, odd cuts as one merged mesh a layer.
// x across the room, y along the axis, z up; metres.

import * as THREE from "three";
import { OrbitControls } from "orbit";

const TONES = ["#cc8a67", "#dbac86", "#c79a7a", "#d6b69c", "#bb8466", "#e2c4a6"];
const INK = "#26323d";
const UNCUT = 1e3;
const EYE_PX = 52;
const PICKED = new THREE.Color("#1d6a8c");

/** Pixels of the drawing: those of the screen, at most two to a point of the page. */
export function frameOf(canvas) {
  const ratio = Math.min(devicePixelRatio || 1, 2);
  return [Math.floor(canvas.clientWidth * ratio), Math.floor(canvas.clientHeight * ratio)];
}

/** Parts that are built when they are first looked at. */
const BUILDERS = { room: "buildRoom", thrust: "buildThrust", net: "buildNet", hinges: "buildHinges" };

export class Solid {
  /** A view on a canvas whose drawing context (WebGL 2) is at hand; `load` gives it a model. */
  constructor(canvas, context) {
    this.kind = "solid";
    this.canvas = canvas;
    this.renderer = new THREE.WebGLRenderer({ canvas, context });
    // Asking after each shader waits until it is made; a shader of the library that fails is told by WebGL.
    this.renderer.debug.checkShaderErrors = false;
    this.scene = new THREE.Scene();
    this.scene.background = new THREE.Color("#fbf8ef");
    this.scene.add(new THREE.HemisphereLight("#ffffff", "#b3a690", 3.3));
    const sun = new THREE.DirectionalLight("#fff4e0", 1.9);
    sun.position.set(-3, -5, 8);
    this.scene.add(sun);
    this.camera = new THREE.PerspectiveCamera(38, 1, 0.05, 200);
    this.camera.up.set(0, 0, 1);
    this.orbit = new OrbitControls(this.camera, canvas);
    this.orbit.addEventListener("change", () => this.draw());
    this.plane = new THREE.Plane(new THREE.Vector3(0, -1, 0), UNCUT);
    this.renderer.clippingPlanes = [this.plane];
    this.work = new THREE.Group();
    this.scene.add(this.work);
    this.listen();
    this.resize();
  }

  /** Show a model in the place of the one before; the reader goes on standing where they stood. */
  load(model) {
    this.clear();
    this.model = model;
    this.parts = { centring: new THREE.Group() };
    this.work.add(this.parts.centring);
    this.layers = model.layers.map((layer, n) => this.buildLayer(layer, n));
    this.box = new THREE.Box3(new THREE.Vector3(...model.box[0]), new THREE.Vector3(...model.box[1]));
    if (!this.stood) { this.stood = true; this.home(); }
  }

  clear() {
    this.work.traverse((thing) => { thing.geometry?.dispose(); thing.material?.dispose?.(); if (thing.isInstancedMesh) thing.dispose(); });
    this.work.clear();
    this.marked = null;
    this.wood = undefined;
    this.centringAt = undefined;
  }

  listen() {
    this.resizer = new ResizeObserver(() => { if (this.resize()) this.draw(); });
    this.resizer.observe(this.canvas);
    // The system may take the context away (sleep, too many tabs) and give it back empty.
    this.canvas.addEventListener("webglcontextrestored", () => this.draw());
    this.down = (event) => { this.pressed = [event.clientX, event.clientY]; };
    this.up = (event) => {
      if (!this.pressed) return;
      const [x, y] = this.pressed;
      if (Math.hypot(event.clientX - x, event.clientY - y) < 6) this.pick(event);
    };
    this.canvas.addEventListener("pointerdown", this.down);
    this.canvas.addEventListener("pointerup", this.up);
  }

  // -- building ---------------------------------------------------------------------------------

  buildLayer(layer, n) {
    const steps = this.model.order.stepOf[n];
    const order = [...layer.names.keys()].sort((a, b) => steps[a] - steps[b]);
    const boxes = [], odd = [];
    for (const i of order) (this.rectangle(layer, i) ? boxes : odd).push(i);
    const tone = new THREE.Color(TONES[n % TONES.length]);
    const material = new THREE.MeshLambertMaterial({ side: this.sides() });
    const mesh = new THREE.InstancedMesh(new THREE.BoxGeometry(1, 1, 1), material, Math.max(boxes.length, 1));
    const matrix = new THREE.Matrix4();
    boxes.forEach((i, at) => {
      this.place(matrix, layer, i);
      mesh.setMatrixAt(at, matrix);
      mesh.setColorAt(at, this.tint(tone, layer, i));
    });
    mesh.count = boxes.length;
    const merged = this.merge(layer, odd, tone);
    const group = new THREE.Group();
    group.add(mesh, merged.mesh);
    this.work.add(group);
    return { group, mesh, boxes, odd, merged, tone, layer, steps };
  }

  corner(layer, k) {
    return new THREE.Vector3(layer.corners[3 * k], layer.corners[3 * k + 1], layer.corners[3 * k + 2]);
  }

  polygon(layer, i) {
    const points = [];
    for (let k = layer.start[i]; k < layer.start[i + 1]; k++) points.push(this.corner(layer, k));
    return points;
  }

  rectangle(layer, i) {
    if (layer.start[i + 1] - layer.start[i] !== 4) return false;
    const [a, b, c, d] = this.polygon(layer, i);
    return a.clone().sub(b).add(c).sub(d).length() < 0.004;
  }

  /** The normal away from the room, and the corners anticlockwise as it looks down on them. */
  seenFromOutside(points) {
    const up = new THREE.Vector3();
    points.forEach((p, k) => up.add(p.clone().cross(points[(k + 1) % points.length])));
    up.normalize();
    const out = points[0].clone().sub(new THREE.Vector3(...this.model.inside));
    return up.dot(out) < 0 ? { up: up.negate(), points: points.reverse() } : { up, points };
  }

  place(matrix, layer, i) {
    const { up, points: [a, b, c, d] } = this.seenFromOutside(this.polygon(layer, i));
    const along = b.clone().sub(a).add(c).sub(d).multiplyScalar(0.5);
    const across = d.clone().sub(a).add(c).sub(b).multiplyScalar(0.5);
    up.multiplyScalar(layer.thickness);
    const middle = a.clone().add(b).add(c).add(d).multiplyScalar(0.25);
    matrix.makeBasis(along, across, up).setPosition(middle);
  }

  tint(tone, layer, i) {
    const grain = ((i * 7919) % 17) / 17 - 0.5;
    const shade = tone.clone().offsetHSL(0, 0, grain * 0.06);
    return layer.kinds[i] === 0 ? shade : shade.offsetHSL(0, -0.12, -0.1);
  }

  merge(layer, odd, tone) {
    const positions = [], normals = [], colors = [], ends = [], owner = [];
    for (const i of odd) {
      const { up, points } = this.seenFromOutside(this.polygon(layer, i));
      const half = up.clone().multiplyScalar(layer.thickness / 2);
      const ahead = points[1].clone().sub(points[0]).normalize();
      const aside = up.clone().cross(ahead);
      const flat = points.map((p) => new THREE.Vector2(p.dot(ahead), p.dot(aside)));
      const color = this.tint(tone, layer, i);
      const add = (p, n) => { positions.push(p.x, p.y, p.z); normals.push(n.x, n.y, n.z); colors.push(color.r, color.g, color.b); };
      for (const found of THREE.ShapeUtils.triangulateShape(flat, [])) {
        const [p, q, r] = THREE.ShapeUtils.area(found.map((k) => flat[k])) < 0 ? found.reverse() : found;
        for (const k of [p, q, r]) add(points[k].clone().add(half), up);
        for (const k of [p, r, q]) add(points[k].clone().sub(half), up.clone().negate());
        owner.push(i, i);
      }
      points.forEach((p, k) => {
        const q = points[(k + 1) % points.length];
        const side = q.clone().sub(p).cross(up).normalize();
        const [a, b, c, d] = [p.clone().sub(half), q.clone().sub(half), q.clone().add(half), p.clone().add(half)];
        for (const corner of [a, b, c, a, c, d]) add(corner, side);
        owner.push(i, i);
      });
      ends.push(positions.length / 3);
    }
    const geometry = new THREE.BufferGeometry();
    geometry.setAttribute("position", new THREE.Float32BufferAttribute(positions, 3));
    geometry.setAttribute("normal", new THREE.Float32BufferAttribute(normals, 3));
    geometry.setAttribute("color", new THREE.Float32BufferAttribute(colors, 3));
    const mesh = new THREE.Mesh(geometry, new THREE.MeshLambertMaterial({ vertexColors: true, side: this.sides() }));
    return { mesh, ends, owner };
  }

  buildRoom() {
    const group = new THREE.Group();
    const fill = new THREE.MeshLambertMaterial({ color: "#cfc8b8", transparent: true, opacity: 0.28, side: THREE.DoubleSide, depthWrite: false });
    const line = new THREE.LineBasicMaterial({ color: INK });
    for (const wall of this.model.walls) {
      const geometry = this.prism(wall.foot, wall.bottom, wall.top);
      group.add(new THREE.Mesh(geometry, fill));
      group.add(new THREE.LineSegments(new THREE.EdgesGeometry(geometry, 20), line));
    }
    return group;
  }

  /** A wall: four corners of its foot (x, y) with the level of its top at each. */
  prism(foot, bottom, top) {
    const low = foot.map(([x, y]) => [x, y, bottom]);
    const high = foot.map(([x, y], k) => [x, y, top[k]]);
    const faces = [[low[3], low[2], low[1], low[0]], high, ...foot.map((_, k) => [low[k], low[(k + 1) % 4], high[(k + 1) % 4], high[k]])];
    const flat = faces.flatMap(([a, b, c, d]) => [a, b, c, a, c, d]).flat();
    const geometry = new THREE.BufferGeometry();
    geometry.setAttribute("position", new THREE.Float32BufferAttribute(flat, 3));
    geometry.computeVertexNormals();
    return geometry;
  }

  rope(points, radius, material) {
    const curve = new THREE.CurvePath();
    for (let k = 1; k < points.length; k++) {
      curve.add(new THREE.LineCurve3(new THREE.Vector3(...points[k - 1]), new THREE.Vector3(...points[k])));
    }
    return new THREE.Mesh(new THREE.TubeGeometry(curve, Math.max(2 * points.length, 2), radius, 6), material);
  }

  buildThrust() {
    const group = new THREE.Group();
    const material = new THREE.MeshBasicMaterial({ color: "#1b4f8a", depthTest: false, transparent: true });
    for (const line of this.model.thrust) { const rope = this.rope(line, 0.007, material); rope.renderOrder = 5; group.add(rope); }
    return group;
  }

  buildNet() {
    const geometry = new THREE.BufferGeometry();
    geometry.setAttribute("position", new THREE.Float32BufferAttribute(this.model.net.flat(2), 3));
    // The net runs within the shell: it is drawn over the tiles, or it would never be seen.
    const material = new THREE.LineBasicMaterial({ color: "#1b4f8a", depthTest: false, transparent: true });
    const lines = new THREE.LineSegments(geometry, material);
    lines.renderOrder = 5;
    return lines;
  }

  buildHinges() {
    const group = new THREE.Group();
    const material = new THREE.MeshBasicMaterial({ color: "#8a1f11", depthTest: false, transparent: true });
    for (const at of this.model.hinges) {
      const ball = new THREE.Mesh(new THREE.SphereGeometry(0.028, 16, 12), material);
      ball.position.set(...at);
      ball.renderOrder = 6;
      group.add(ball);
    }
    return group;
  }

  buildCentring(ribs) {
    const group = this.parts.centring;
    for (const old of [...group.children]) { group.remove(old); old.geometry.dispose(); }
    if (!ribs) return;
    this.wood ??= new THREE.MeshLambertMaterial({ color: "#d9b76a", side: THREE.DoubleSide });
    for (const rib of ribs) group.add(new THREE.Mesh(this.board(rib, this.model.rib_depth), this.wood));
    const [a, b] = [ribs[0], ribs[ribs.length - 1]];
    const every = Math.max(1, Math.floor(a.length / 14));
    for (let k = 0; k < a.length; k += every) group.add(this.rope([a[k], b[k]], 0.011, this.wood));
  }

  /** A flat rib of a depth below the line that it carries. */
  board(line, depth) {
    const positions = [];
    for (let k = 1; k < line.length; k++) {
      const [p, q] = [line[k - 1], line[k]];
      const [pl, ql] = [[p[0], p[1], p[2] - depth], [q[0], q[1], q[2] - depth]];
      positions.push(...p, ...q, ...ql, ...p, ...ql, ...pl);
    }
    const geometry = new THREE.BufferGeometry();
    geometry.setAttribute("position", new THREE.Float32BufferAttribute(positions, 3));
    geometry.computeVertexNormals();
    return geometry;
  }

  // -- showing ----------------------------------------------------------------------------------

  upTo(k, step) {
    this.step = k;
    for (const part of this.layers) {
      part.mesh.count = part.boxes.filter((i) => part.steps[i] <= k).length;
      const shown = part.odd.filter((i) => part.steps[i] <= k).length;
      part.merged.mesh.geometry.setDrawRange(0, shown ? part.merged.ends[shown - 1] : 0);
    }
    const at = step.centring;
    if (at !== this.centringAt) {
      this.centringAt = at;
      this.buildCentring(at === null || at === undefined ? null : this.model.centring[at]);
    }
  }

  showLayer(n, shown) { this.layers[n].group.visible = shown; }
  showPart(name, shown) {
    if (shown && !this.parts[name] && BUILDERS[name]) {
      this.parts[name] = this[BUILDERS[name]]();
      this.work.add(this.parts[name]);
    }
    if (this.parts[name]) this.parts[name].visible = shown;
  }

  cut(share) {
    const { min, max } = this.box;
    this.plane.constant = share >= 1 ? UNCUT : min.y + share * (max.y - min.y);
    for (const { mesh, merged } of this.layers) {
      for (const { material } of [mesh, merged.mesh]) {
        if (material.side !== this.sides()) { material.side = this.sides(); material.needsUpdate = true; }
      }
    }
  }

  /** Tiles are closed: their inner faces are seen, and drawn, only where the section cuts them. */
  sides() { return this.plane.constant < UNCUT ? THREE.DoubleSide : THREE.FrontSide; }

  /** Stand where the whole box just fills the frame, under the buttons that lie on its upper edge. */
  home() {
    const away = new THREE.Vector3(-0.42, -0.78, 0.46).normalize();
    const right = new THREE.Vector3().crossVectors(this.camera.up, away).normalize();
    const up = new THREE.Vector3().crossVectors(away, right);
    const { min, max } = this.box;
    const corners = [];
    for (const x of [min.x, max.x]) for (const y of [min.y, max.y]) for (const z of [min.z, max.z]) corners.push(new THREE.Vector3(x, y, z));
    const tall = Math.tan((this.camera.fov * Math.PI) / 360);
    const wide = tall * this.camera.aspect;
    const taken = Math.min(0.3, EYE_PX / (this.canvas.clientHeight || EYE_PX));
    const free = tall * (1 - taken);
    const target = this.box.getCenter(new THREE.Vector3());
    let far = 0;
    for (let k = 0; k < 8; k++) {
      far = 0;
      const low = [Infinity, Infinity], high = [-Infinity, -Infinity];
      for (const corner of corners) {
        const p = corner.clone().sub(target);
        const [x, y, near] = [p.dot(right), p.dot(up), p.dot(away)];
        far = Math.max(far, near + Math.abs(x) / wide, near + Math.abs(y) / free);
        const depth = (this.far || far) - near;
        low[0] = Math.min(low[0], x / depth); high[0] = Math.max(high[0], x / depth);
        low[1] = Math.min(low[1], y / depth); high[1] = Math.max(high[1], y / depth);
      }
      this.far = far;
      target.addScaledVector(right, ((low[0] + high[0]) / 2) * far).addScaledVector(up, ((low[1] + high[1]) / 2) * far);
    }
    target.addScaledVector(up, tall * taken * far);
    this.orbit.target.copy(target);
    this.camera.position.copy(target).addScaledVector(away, far * 1.06);
    this.orbit.update();
    this.draw();
  }

  zoom(times) {
    this.camera.position.sub(this.orbit.target).multiplyScalar(1 / times).add(this.orbit.target);
    this.orbit.update();
    this.draw();
  }

  turn(way) {
    const arm = this.camera.position.clone().sub(this.orbit.target);
    arm.applyAxisAngle(this.camera.up, (way * Math.PI) / 12);
    this.camera.position.copy(this.orbit.target).add(arm);
    this.orbit.update();
    this.draw();
  }

  resize() {
    const [w, h] = frameOf(this.canvas);
    if (!w || !h || (this.camera.aspect === w / h && this.canvas.width === w && this.canvas.height === h)) return false;
    if (this.canvas.width !== w || this.canvas.height !== h) this.renderer.setSize(w, h, false);
    this.camera.aspect = w / h;
    this.camera.updateProjectionMatrix();
    return true;
  }

  draw() {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => { this.waiting = false; this.renderer.render(this.scene, this.camera); });
  }

  pick(event) {
    if (!this.model) return;
    const frame = this.canvas.getBoundingClientRect();
    const at = new THREE.Vector2(((event.clientX - frame.left) / frame.width) * 2 - 1, 1 - ((event.clientY - frame.top) / frame.height) * 2);
    const ray = new THREE.Raycaster();
    ray.setFromCamera(at, this.camera);
    let best = null;
    this.layers.forEach((part, n) => {
      if (!part.group.visible) return;
      part.mesh.boundingSphere = null;
      for (const hit of ray.intersectObjects([part.mesh, part.merged.mesh])) {
        if (this.plane.distanceToPoint(hit.point) < 0) continue;
        const tile = hit.object === part.mesh ? part.boxes[hit.instanceId] : part.merged.owner[hit.faceIndex];
        if (part.steps[tile] <= this.step && (!best || hit.distance < best.distance)) best = { distance: hit.distance, n, tile };
      }
    });
    this.mark(best ? best.n : -1, best ? best.tile : -1);
    this.onPick?.(best ? best.n : -1, best ? best.tile : -1);
  }

  mark(n, tile) {
    if (this.marked) {
      const { part, at, tile: old } = this.marked;
      part.mesh.setColorAt(at, this.tint(part.tone, part.layer, old));
      part.mesh.instanceColor.needsUpdate = true;
    }
    this.marked = null;
    const part = this.layers[n];
    const at = part ? part.boxes.indexOf(tile) : -1;
    if (at >= 0) {
      part.mesh.setColorAt(at, PICKED);
      part.mesh.instanceColor.needsUpdate = true;
      this.marked = { part, at, tile };
    }
    this.draw();
  }
}
