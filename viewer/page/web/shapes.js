// Boxes at rest and on the way, as points.

/** @typedef {[number, number, number]} Triple */

/** @param {import('./wire').StandRow} s */
export function spanOf(s) {
  /** @type {Triple} */
  const low = [Infinity, Infinity, Infinity];
  /** @type {Triple} */
  const high = [-Infinity, -Infinity, -Infinity];
  for (const b of s.body) {
    for (const p of corners(moved(b, s.at_mm))) {
      for (let k = 0; k < 3; k += 1) {
        low[k] = Math.min(low[k], p[k]);
        high[k] = Math.max(high[k], p[k]);
      }
    }
  }
  return { low, high };
}

/** @param {import('./wire').BoxRow} b @param {number[]} at @returns {import('./wire').BoxRow} */
export function moved(b, at) {
  return {
    ...b,
    centre_mm: [b.centre_mm[0] + at[0], b.centre_mm[1] + at[1], b.centre_mm[2] + at[2]],
  };
}

/** A body's box at a pose. @param {import('./wire').BoxRow} b @param {import('./wire').PoseRow} pose
 * @returns {import('./wire').BoxRow} */
export function posed(b, pose) {
  const r = matrix(pose.quat);
  const c = times(r, b.centre_mm);
  const columns = [0, 1, 2].map((j) =>
    times(r, [b.rotation[0][j], b.rotation[1][j], b.rotation[2][j]]),
  );
  const at = pose.at_mm;
  /** @type {any} */
  const rotation = [0, 1, 2].map((i) => [columns[0][i], columns[1][i], columns[2][i]]);
  return { ...b, centre_mm: [c[0] + at[0], c[1] + at[1], c[2] + at[2]], rotation };
}

/** @param {[number, number, number, number]} q x y z w */
export function matrix([x, y, z, w]) {
  return [
    [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
    [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
    [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
  ];
}

/** @param {number[][]} m @param {number[]} p @returns {Triple} */
export function times(m, p) {
  return [
    m[0][0] * p[0] + m[0][1] * p[1] + m[0][2] * p[2],
    m[1][0] * p[0] + m[1][1] * p[1] + m[1][2] * p[2],
    m[2][0] * p[0] + m[2][1] * p[1] + m[2][2] * p[2],
  ];
}

/** @param {import('./wire').BoxRow} b @returns {Triple[]} */
export function corners(b) {
  const out = [];
  for (const i of [-1, 1])
    for (const j of [-1, 1])
      for (const k of [-1, 1]) {
        const d = times(b.rotation, [i * b.half_mm[0], j * b.half_mm[1], k * b.half_mm[2]]);
        out.push(
          /** @type {Triple} */ ([
            b.centre_mm[0] + d[0],
            b.centre_mm[1] + d[1],
            b.centre_mm[2] + d[2],
          ]),
        );
      }
  return out;
}

/** The convex outline of points (Andrew's monotone chain). @param {number[][]} pts */
export function hull(pts) {
  const p = [...pts].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const cross = (/** @type {number[]} */ o, /** @type {number[]} */ a, /** @type {number[]} */ b) =>
    (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);
  const half = (/** @type {number[][]} */ points) => {
    /** @type {number[][]} */
    const out = [];
    for (const q of points) {
      while (out.length > 1 && cross(out[out.length - 2], out[out.length - 1], q) <= 0) out.pop();
      out.push(q);
    }
    out.pop();
    return out;
  };
  return [...half(p), ...half(p.reverse())];
}
