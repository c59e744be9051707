// The boat all round: boxes and cables in three dimensions, drawn only when something changes.

import {
  AmbientLight,
  BoxGeometry,
  Color,
  DirectionalLight,
  EdgesGeometry,
  Group,
  LineBasicMaterial,
  LineSegments,
  Matrix4,
  Mesh,
  MeshLambertMaterial,
  PerspectiveCamera,
  Quaternion,
  Raycaster,
  Scene,
  Vector2,
  Vector3,
  WebGLRenderer,
} from './vendor/three/three.module.js';
import { OrbitControls } from './vendor/three/OrbitControls.js';
import { carried } from './carry.js';
import { MM, boxMatrix, merged, mid, rayToBox } from './solids.js';
import { tubes } from './tubes.js';

/** @typedef {import('./wire').BoxRow} BoxRow */
/** @typedef {{ box: BoxRow, at: number[] }} Row */
/** @typedef {{ rows?: Row[], colour?: number, lines?: number[][][] }} Extra */

const LOOK = {
  space: 0x7d8790,
  solid: 0xb9b4a6,
  gear: 0x86a0a8,
  plate: 0x8c5a2b,
  chosen: 0xd9902f,
  hazard: 0xa03025,
  edge: 0x22303a,
  ghost: 0xd9902f,
  clash: 0xa03025,
  opening: 0x0f5257,
};
const CABLES = [0x1f4e79, 0xa03b76, 0x5a3d7a, 0xa4550f, 0x3f7fa6, 0x7a5c4a, 0x8a7bb0, 0xc58a5a];
const BACKGROUND = 0xf7f5f0;

/** True where this browser draws in three dimensions. */
export function canDraw() {
  try {
    return Boolean(document.createElement('canvas').getContext('webgl2'));
  } catch {
    return false;
  }
}

export class RoundView {
  /**
   * @param {HTMLElement} host
   * @param {import('./store.js').Store} store
   * @param {string} label
   */
  constructor(host, store, label) {
    this.host = host;
    this.store = store;
    this.scene = new Scene();
    this.scene.background = new Color(BACKGROUND);
    this.camera = new PerspectiveCamera(40, 1, 0.02, 200);
    this.camera.up.set(0, 0, 1);
    this.renderer = new WebGLRenderer({ antialias: false, powerPreference: 'high-performance' });
    this.renderer.setPixelRatio(Math.min(window.devicePixelRatio, 1.5));
    this.canvas = this.renderer.domElement;
    this.canvas.tabIndex = 0;
    this.canvas.setAttribute('role', 'application');
    this.canvas.setAttribute('aria-label', label);
    host.append(this.canvas);
    this.controls = new OrbitControls(this.camera, this.canvas);
    this.controls.addEventListener('change', () => this.ask());
    this.scene.add(new AmbientLight(0xffffff, 1.5));
    const sun = new DirectionalLight(0xffffff, 1.9);
    sun.position.set(-3, -5, 8);
    this.scene.add(sun);
    this.boat = new Group();
    this.extra = new Group();
    this.scene.add(this.boat, this.extra);
    /** @type {{ key: string, box: BoxRow, at: number[] }[]} */
    this.pickable = [];
    /** @type {any[]} geometries and materials to let go */
    this.made = [];
    this.showCables = true;
    this.justCarried = false;
    this.asked = false;
    this.closed = false;
    this.drawn = 0;
    /** @type {Group | null} */
    this.moving = null;
    this.canvas.addEventListener('click', (e) => this.click(e));
    carried(this);
    this.canvas.addEventListener('keydown', (e) => this.key(e));
    this.resizing = new ResizeObserver(() => this.size());
    this.resizing.observe(host);
    this.size();
  }

  close() {
    this.closed = true;
    this.resizing.disconnect();
    this.controls.dispose();
    this.letGo();
    this.renderer.dispose();
    this.renderer.forceContextLoss();
    this.canvas.remove();
  }

  size() {
    const w = Math.max(this.host.clientWidth, 50);
    const h = Math.max(this.host.clientHeight, 50);
    this.renderer.setSize(w, h);
    this.camera.aspect = w / h;
    this.camera.updateProjectionMatrix();
    this.ask();
  }

  /** Draw once more at the next frame. */
  ask() {
    if (this.asked || this.closed) return;
    this.asked = true;
    requestAnimationFrame(() => {
      this.asked = false;
      if (this.closed) return;
      this.renderer.render(this.scene, this.camera);
      this.drawn += 1;
    });
  }

  letGo() {
    for (const thing of this.made) thing.dispose();
    this.made = [];
  }

  /** @template T @param {T} thing @returns {T} */
  keep(thing) {
    this.made.push(thing);
    return thing;
  }

  /** Build the boat anew from the files. */
  build() {
    this.letGo();
    this.boat.clear();
    this.pickable = [];
    const { boat } = this.store.desk;
    if (!boat) {
      this.ask();
      return;
    }
    const { chosen } = this.store;
    for (const s of boat.spaces)
      this.frame(s.low_mm, s.high_mm, `space:${s.key}` === chosen ? LOOK.chosen : LOOK.space);
    for (const h of boat.hazards) this.frame(h.low_mm, h.high_mm, LOOK.hazard);
    this.boxes(
      boat.solids.map((s) => ({ key: `solid:${s.key}`, box: s.box, at: [0, 0, 0] })),
      LOOK.solid,
    );
    this.boxes(
      boat.openings.flatMap((o) =>
        o.bars.map((box) => ({ key: `opening:${o.key}`, box, at: [0, 0, 0] })),
      ),
      LOOK.opening,
    );
    const gear = boat.stands.flatMap((s) =>
      s.body.map((box) => ({ key: `piece:${s.key}`, box, at: s.at_mm })),
    );
    const plate = (/** @type {{ box: BoxRow }} */ x) => x.box.key.endsWith('.plate');
    const away = this.moving ? chosen : '';
    this.boxes(
      gear.filter((x) => x.key !== chosen && !plate(x)),
      LOOK.gear,
    );
    this.boxes(
      gear.filter((x) => x.key !== chosen && plate(x)),
      LOOK.plate,
    );
    this.boxes(
      gear.filter((x) => x.key === chosen && x.key !== away),
      LOOK.chosen,
    );
    this.cables();
    this.ask();
  }

  /**
   * @param {{ key: string, box: BoxRow, at: number[] }[]} rows
   * @param {number} colour @param {number} [see]
   */
  boxes(rows, colour, see = 1) {
    if (!rows.length) return;
    this.pickable.push(...rows);
    this.boat.add(...this.solid(rows, colour, see));
  }

  /** Many boxes as one mesh with one set of edges.
   * @param {{ box: BoxRow, at: number[] }[]} rows @param {number} colour @param {number} see */
  solid(rows, colour, see) {
    const unit = new BoxGeometry(1, 1, 1);
    const edge = new EdgesGeometry(unit);
    const matrices = rows.map((r) => boxMatrix(r.box, r.at));
    const body = this.keep(merged(unit, matrices));
    const lines = this.keep(merged(edge, matrices));
    const look = this.keep(
      new MeshLambertMaterial({ color: colour, transparent: see < 1, opacity: see }),
    );
    const ink = this.keep(new LineBasicMaterial({ color: LOOK.edge }));
    unit.dispose();
    edge.dispose();
    return [new Mesh(body, look), new LineSegments(lines, ink)];
  }

  /** @param {number[]} low @param {number[]} high @param {number} colour */
  frame(low, high, colour) {
    const size = high.map((x, k) => Math.max(x - low[k], 1));
    const unit = new BoxGeometry(1, 1, 1);
    const edge = new EdgesGeometry(unit);
    const m = new Matrix4().makeScale(size[0] * MM, size[1] * MM, size[2] * MM);
    m.setPosition(...mid(low, high));
    const lines = this.keep(merged(edge, [m]));
    unit.dispose();
    edge.dispose();
    this.boat.add(new LineSegments(lines, this.keep(new LineBasicMaterial({ color: colour }))));
  }

  cables() {
    const rows = this.showCables ? (this.store.parts.cables?.circuits ?? []) : [];
    const chosen = this.store.chosen.startsWith('circuit:') ? this.store.chosen.slice(8) : '';
    const lines = rows.flatMap((c, n) =>
      c.lines.map((line) => ({
        line,
        radius: c.number === chosen ? 14 : 5,
        colour: c.number === chosen ? LOOK.chosen : chosen ? 0xb9bfc4 : CABLES[n % CABLES.length],
      })),
    );
    if (!lines.length) return;
    const { geometry } = tubes(lines);
    this.keep(geometry);
    const look = this.keep(new MeshLambertMaterial({ vertexColors: true }));
    this.boat.add(new Mesh(geometry, look));
  }

  /** Put things beside the boat's own: the ghost of a clash, a way tried, an opening lit.
   * @param {Extra[]} things */
  extras(things) {
    this.extra.clear();
    for (const t of things) {
      if (t.rows?.length) this.extra.add(...this.solid(t.rows, t.colour ?? LOOK.ghost, 0.55));
      if (t.lines?.length) {
        const { geometry } = tubes(
          t.lines.map((line) => ({ line, radius: 14, colour: t.colour ?? LOOK.ghost })),
        );
        this.keep(geometry);
        this.extra.add(
          new Mesh(geometry, this.keep(new MeshLambertMaterial({ vertexColors: true }))),
        );
      }
    }
    this.ask();
  }

  /** A piece on its way: null puts it back at rest.
   * @param {BoxRow[] | null} boxes @param {import('./wire').PoseRow | null} pose */
  way(boxes, pose) {
    if (!boxes || !pose) {
      if (this.moving) {
        this.scene.remove(this.moving);
        this.moving = null;
        this.build();
      }
      return;
    }
    if (!this.moving) {
      this.moving = new Group();
      this.scene.add(this.moving);
      this.build();
      this.moving.add(
        ...this.solid(
          boxes.map((box) => ({ box, at: [0, 0, 0] })),
          LOOK.chosen,
          0.9,
        ),
      );
    }
    this.moving.position.set(pose.at_mm[0] * MM, pose.at_mm[1] * MM, pose.at_mm[2] * MM);
    this.moving.quaternion.copy(new Quaternion(...pose.quat));
    this.ask();
  }

  /** Show all of a part of the boat. @param {number[]} low @param {number[]} high */
  fit(low, high) {
    const middle = new Vector3(...mid(low, high));
    const reach = Math.max(Math.hypot(...high.map((x, k) => x - low[k])) / 2, 100) * MM;
    const from = this.camera.position.clone().sub(this.controls.target);
    if (from.length() < 1e-6 || !this.fitted) from.set(-0.75, -1, 0.8);
    this.fitted = true;
    const narrow = Math.min(1, this.camera.aspect);
    from.setLength((reach / Math.sin((this.camera.fov * Math.PI) / 360) / narrow) * 1.02);
    this.controls.target.copy(middle);
    this.camera.position.copy(middle).add(from);
    this.controls.update();
    this.ask();
  }

  /** @param {'left' | 'right' | 'up' | 'down' | 'near' | 'far'} way */
  turn(way) {
    const from = this.camera.position.clone().sub(this.controls.target);
    const around = Math.PI / 12;
    if (way === 'left' || way === 'right')
      from.applyAxisAngle(new Vector3(0, 0, 1), way === 'left' ? around : -around);
    if (way === 'up' || way === 'down') {
      const side = new Vector3().crossVectors(from, new Vector3(0, 0, 1)).normalize();
      const tilted = from.clone().applyAxisAngle(side, way === 'up' ? around : -around);
      if (Math.abs(tilted.clone().normalize().z) < 0.995) from.copy(tilted);
    }
    if (way === 'near') from.multiplyScalar(0.8);
    if (way === 'far') from.multiplyScalar(1.25);
    this.camera.position.copy(this.controls.target).add(from);
    this.controls.update();
    this.ask();
  }

  /** @param {KeyboardEvent} e */
  key(e) {
    const ways = /** @type {Record<string, 'left' | 'right' | 'up' | 'down' | 'near' | 'far'>} */ ({
      ArrowLeft: 'left',
      ArrowRight: 'right',
      ArrowUp: 'up',
      ArrowDown: 'down',
      '+': 'near',
      '=': 'near',
      '-': 'far',
    });
    if (ways[e.key]) {
      e.preventDefault();
      this.turn(ways[e.key]);
    }
  }

  /** The ray under a pointer. @param {MouseEvent} e */
  ray(e) {
    const box = this.canvas.getBoundingClientRect();
    const at = new Vector2(
      ((e.clientX - box.left) / box.width) * 2 - 1,
      1 - ((e.clientY - box.top) / box.height) * 2,
    );
    const caster = new Raycaster();
    caster.setFromCamera(at, this.camera);
    return caster.ray;
  }

  /** What is under a pointer, and how far away. @param {MouseEvent} e */
  under(e) {
    const ray = this.ray(e);
    let key = '';
    let near = Infinity;
    for (const p of this.pickable) {
      const far = rayToBox(ray, p.box, p.at);
      if (far < near) [near, key] = [far, p.key];
    }
    return { key, near, ray };
  }

  /** @param {MouseEvent} e */
  click(e) {
    if (this.justCarried) {
      this.justCarried = false;
      return;
    }
    const { key } = this.under(e);
    if (key) this.store.choose(key);
  }
}
