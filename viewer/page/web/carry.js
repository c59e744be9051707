// The chosen piece carried over its floor in three dimensions: it stays at its height.

import { Vector3 } from './vendor/three/three.module.js';

const MM = 0.001;
const FINGER_PX = 6; // a smaller move is a tap

/** @param {import('./round.js').RoundView} view */
export function carried(view) {
  view.canvas.addEventListener('pointerdown', (down) => {
    const { store } = view;
    if (store.picking || down.button !== 0 || !store.chosen.startsWith('piece:')) return;
    const hit = view.under(down);
    if (hit.key !== store.chosen) return;
    const start = hit.ray.at(hit.near, new Vector3());
    const stand = store.desk.boat?.stands.find((s) => `piece:${s.key}` === hit.key);
    if (!stand) return;
    view.controls.enabled = false;
    store.hold();
    let by = [0, 0];
    const move = (/** @type {PointerEvent} */ e) => {
      if (Math.hypot(e.clientX - down.clientX, e.clientY - down.clientY) < FINGER_PX) return;
      const at = onLevel(view.ray(e), start.z);
      if (!at) return;
      by = [at.x - start.x, at.y - start.y].map((x) => Math.round(x / MM));
      const to = [stand.at_mm[0] + by[0], stand.at_mm[1] + by[1], stand.at_mm[2]];
      view.extras([{ rows: stand.body.map((box) => ({ box, at: to })) }]);
    };
    const up = () => {
      view.canvas.removeEventListener('pointermove', move);
      view.canvas.removeEventListener('pointerup', up);
      view.canvas.removeEventListener('pointercancel', up);
      view.controls.enabled = true;
      view.extras([]);
      store.letGo();
      if (!by[0] && !by[1]) return;
      view.justCarried = true;
      store.edit('gear.move', { key: stand.key, by_mm: [by[0], by[1], 0] });
    };
    view.canvas.setPointerCapture(down.pointerId);
    view.canvas.addEventListener('pointermove', move);
    view.canvas.addEventListener('pointerup', up);
    view.canvas.addEventListener('pointercancel', up);
  });
}

/** Where a ray meets a level; null where it does not. @param {any} ray @param {number} level */
function onLevel(ray, level) {
  const t = (level - ray.origin.z) / ray.direction.z;
  return Number.isFinite(t) && t > 0 ? ray.at(t, new Vector3()) : null;
}
