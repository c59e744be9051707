// Boxes of the boat as three.js shapes: where each stands, many as one mesh, and where a ray meets one.

import { BufferAttribute, BufferGeometry, Matrix4, Vector3 } from './vendor/three/three.module.js';

/** @typedef {import('./vendor/three/three.module.js').Ray} Ray */
/** @typedef {import('./wire').BoxRow} BoxRow */

export const MM = 0.001; // the boat is told in millimetres and drawn in metres

/** @param {number[]} low @param {number[]} high @returns {[number, number, number]} */
export function mid(low, high) {
  return [
    ((low[0] + high[0]) / 2) * MM,
    ((low[1] + high[1]) / 2) * MM,
    ((low[2] + high[2]) / 2) * MM,
  ];
}

/** @param {BoxRow} b @param {number[]} at */
export function boxMatrix(b, at) {
  const r = b.rotation;
  const s = b.half_mm.map((x) => 2 * x * MM);
  const c = b.centre_mm.map((x, k) => (x + at[k]) * MM);
  return new Matrix4().set(
    r[0][0] * s[0],
    r[0][1] * s[1],
    r[0][2] * s[2],
    c[0],
    r[1][0] * s[0],
    r[1][1] * s[1],
    r[1][2] * s[2],
    c[1],
    r[2][0] * s[0],
    r[2][1] * s[1],
    r[2][2] * s[2],
    c[2],
    0,
    0,
    0,
    1,
  );
}

/** One geometry at many places, as one. @param {any} unit @param {any[]} matrices */
export function merged(unit, matrices) {
  const out = new BufferGeometry();
  const n = unit.attributes.position.count;
  const position = new Float32Array(matrices.length * n * 3);
  const normal = unit.attributes.normal ? new Float32Array(matrices.length * n * 3) : null;
  const v = new Vector3();
  matrices.forEach((m, k) => {
    for (let i = 0; i < n; i += 1) {
      v.fromBufferAttribute(unit.attributes.position, i).applyMatrix4(m);
      v.toArray(position, (k * n + i) * 3);
      if (normal) {
        v.fromBufferAttribute(unit.attributes.normal, i).transformDirection(m);
        v.toArray(normal, (k * n + i) * 3);
      }
    }
  });
  out.setAttribute('position', new BufferAttribute(position, 3));
  if (normal) out.setAttribute('normal', new BufferAttribute(normal, 3));
  if (unit.index) {
    const count = unit.index.count;
    const index = new Uint32Array(matrices.length * count);
    matrices.forEach((_, k) => {
      for (let i = 0; i < count; i += 1) index[k * count + i] = unit.index.getX(i) + k * n;
    });
    out.setIndex(new BufferAttribute(index, 1));
  }
  return out;
}

/** How far along a ray a box is met (slab by slab in its own axes); Infinity where it is not.
 * @param {Ray} ray @param {BoxRow} b @param {number[]} at */
export function rayToBox(ray, b, at) {
  let [enter, leave] = [0, Infinity];
  for (let j = 0; j < 3; j += 1) {
    const axis = [b.rotation[0][j], b.rotation[1][j], b.rotation[2][j]];
    const o =
      axis[0] * (ray.origin.x - (b.centre_mm[0] + at[0]) * MM) +
      axis[1] * (ray.origin.y - (b.centre_mm[1] + at[1]) * MM) +
      axis[2] * (ray.origin.z - (b.centre_mm[2] + at[2]) * MM);
    const d = axis[0] * ray.direction.x + axis[1] * ray.direction.y + axis[2] * ray.direction.z;
    const h = b.half_mm[j] * MM;
    if (Math.abs(d) < 1e-12) {
      if (Math.abs(o) > h) return Infinity;
      continue;
    }
    const [p, q] = [(-h - o) / d, (h - o) / d];
    enter = Math.max(enter, Math.min(p, q));
    leave = Math.min(leave, Math.max(p, q));
  }
  return enter <= leave ? enter : Infinity;
}
