// Things moved on a square drawing: gear dragged and snapped, a lit way pulled on to a hole.

import { svg } from './dom.js';
import { spanOf } from './shapes.js';

/** @typedef {[number, number, number]} Triple */
/** @typedef {import('./square.js').SquareView} SquareView */

const SNAP_PX = 9;
const FINGER_PX = 6; // a smaller move is a tap
const REACH_PX = 22; // half a finger's width

/** Drag a piece over the drawing; arrow keys move it too. @param {SquareView} view @param {SVGElement} g @param {string} key */
export function draggable(view, g, key) {
  const { u, su, v } = view.view;
  g.addEventListener('pointerdown', (down) => {
    if (view.store.picking || down.button !== 0) return;
    const snap = snaps(view, key);
    g.setPointerCapture(down.pointerId); // a quick hand is outside a thin thing at once
    view.store.hold();
    let by = [0, 0];
    const move = (/** @type {PointerEvent} */ e) => {
      by = [e.clientX - down.clientX, e.clientY - down.clientY];
      if (Math.hypot(...by) < FINGER_PX) return;
      by = snap(by);
      g.setAttribute('transform', `translate(${by[0]} ${by[1]})`);
      g.classList.add('dragging');
    };
    const up = () => {
      g.removeEventListener('pointermove', move);
      g.removeEventListener('pointerup', up);
      g.removeEventListener('pointercancel', cancel);
      view.store.letGo();
      if (!g.classList.contains('dragging')) return;
      g.classList.remove('dragging');
      /** @type {Triple} */
      const mm = [0, 0, 0];
      mm[u] = (su * by[0]) / view.scale;
      mm[v] = -by[1] / view.scale;
      view.store.chosen = key;
      moveBy(view, key, /** @type {Triple} */ (mm.map((x) => Math.round(x * 10) / 10)), g);
    };
    const cancel = () => {
      g.removeAttribute('transform');
      g.classList.remove('dragging');
      up();
    };
    g.addEventListener('pointermove', move);
    g.addEventListener('pointerup', up);
    g.addEventListener('pointercancel', cancel);
  });
  g.addEventListener('keydown', (e) => {
    const step = e.shiftKey ? 1 : 10;
    /** @type {Record<string, [number, number]>} */
    const ways = {
      ArrowRight: [step, 0],
      ArrowLeft: [-step, 0],
      ArrowUp: [0, step],
      ArrowDown: [0, -step],
    };
    const way = ways[e.key];
    if (!way) return;
    e.preventDefault();
    /** @type {Triple} */
    const mm = [0, 0, 0];
    mm[u] = su * way[0];
    mm[v] = way[1];
    moveBy(view, key, mm, g);
  });
}

/** @param {SquareView} view @param {string} key @param {Triple} mm @param {SVGElement} g */
async function moveBy(view, key, mm, g) {
  const done = await view.store.edit('gear.move', { key: key.slice(6), by_mm: mm });
  if (!done) g.removeAttribute('transform');
  const again = view.host.querySelector(`[data-thing="${CSS.escape(key)}"]`);
  if (again instanceof SVGElement) again.focus();
}

/** What a dragged piece snaps to: faces of spaces, and sides of what stands near.
 * @param {SquareView} view @param {string} key */
function snaps(view, key) {
  const boat = view.store.desk.boat;
  const mine = boat?.stands.find((s) => `piece:${s.key}` === key);
  if (!boat || !mine) return (/** @type {number[]} */ by) => by;
  const { u, v } = view.view;
  const own = spanOf(mine);
  const lines = [u, v].map((k) => {
    const out = [];
    for (const s of boat.spaces) if (s.key === mine.space) out.push(s.low_mm[k], s.high_mm[k]);
    for (const s of boat.stands)
      if (s !== mine && s.space === mine.space) out.push(spanOf(s).low[k], spanOf(s).high[k]);
    for (const s of boat.solids)
      if (s.space === mine.space)
        out.push(s.box.centre_mm[k] - s.box.half_mm[k], s.box.centre_mm[k] + s.box.half_mm[k]);
    return out;
  });
  return (/** @type {number[]} */ by) =>
    by.map((d, i) => snapped(view, d, i, lines[i], own, [u, v][i]));
}

/** @param {SquareView} view @param {number} d px @param {number} i @param {number[]} lines @param {{low: Triple, high: Triple}} own @param {number} k */
function snapped(view, d, i, lines, own, k) {
  const sign = i === 0 ? view.view.su : -1;
  const mm = (sign * d) / view.scale;
  // let go anywhere, it stands on a whole millimetre; let go near a face, it lies against it
  let best = (Math.round(mm) * view.scale) / sign;
  let near = SNAP_PX;
  for (const line of lines) {
    for (const side of [own.low[k], own.high[k]]) {
      const off = Math.abs((line - side - mm) * view.scale);
      if (off < near) {
        near = off;
        best = sign * (line - side) * view.scale;
      }
    }
  }
  return best;
}

/** Drag a lit way on to a hole. @param {SquareView} view @param {SVGElement} g @param {string} number */
export function dropOnJoint(view, g, number) {
  g.addEventListener('pointerdown', (down) => {
    if (!view.onDropOnJoint) return;
    g.setPointerCapture(down.pointerId);
    view.store.hold();
    const line = svg('line', {
      class: 'pull',
      x1: down.offsetX,
      y1: down.offsetY,
      x2: down.offsetX,
      y2: down.offsetY,
    });
    view.drawing?.append(line);
    view.drawing?.classList.add('pulling');
    const move = (/** @type {PointerEvent} */ e) => {
      line.setAttribute('x2', String(e.offsetX));
      line.setAttribute('y2', String(e.offsetY));
    };
    const up = (/** @type {PointerEvent} */ e) => {
      g.removeEventListener('pointermove', move);
      g.removeEventListener('pointerup', up);
      line.remove();
      view.store.letGo();
      view.drawing?.classList.remove('pulling');
      const joints = near(view, e.offsetX, e.offsetY);
      if (joints.length) view.onDropOnJoint?.(number, joints);
    };
    g.addEventListener('pointermove', move);
    g.addEventListener('pointerup', up);
  });
}

/** The holes, pipes and trays within a finger's reach of a point of the drawing, the nearest first.
 * @param {SquareView} view @param {number} x @param {number} y */
function near(view, x, y) {
  return view.store.desk.joints
    .map((j) => ({
      key: j.key,
      off: Math.min(
        ...j.points_mm.map((p) => view.at(p)).map(([a, b]) => Math.hypot(a - x, b - y)),
      ),
    }))
    .filter((j) => j.off < REACH_PX)
    .sort((p, q) => p.off - q.off)
    .map((j) => j.key);
}
