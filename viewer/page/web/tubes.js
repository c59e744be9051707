// Cables as tubes of few sides, all in one mesh with a colour each.

import { BufferAttribute, BufferGeometry, Color, Vector3 } from './vendor/three/three.module.js';

const SIDES = 5;
const MM = 0.001;
const SHORT_M = 1e-5;

/**
 * @param {{ line: number[][], radius: number, colour: number }[]} cables lines in mm
 */
export function tubes(cables) {
  /** @type {number[]} */ const position = [];
  /** @type {number[]} */ const normal = [];
  /** @type {number[]} */ const colours = [];
  /** @type {number[]} */ const index = [];
  const [along, side, up, spot] = [new Vector3(), new Vector3(), new Vector3(), new Vector3()];
  for (const { line, radius, colour } of cables) {
    const c = new Color(colour);
    const pts = line.map((p) => new Vector3(p[0] * MM, p[1] * MM, p[2] * MM));
    const kept = pts.filter((p, k) => k === 0 || p.distanceTo(pts[k - 1]) > SHORT_M);
    let ring = -1;
    kept.forEach((p, k) => {
      const next = kept[Math.min(k + 1, kept.length - 1)];
      const last = kept[Math.max(k - 1, 0)];
      along.subVectors(next, last).normalize();
      side.set(0, 0, 1);
      if (Math.abs(along.z) > 0.9) side.set(1, 0, 0);
      side.cross(along).normalize();
      up.crossVectors(along, side);
      const start = position.length / 3;
      for (let i = 0; i < SIDES; i += 1) {
        const a = (2 * Math.PI * i) / SIDES;
        spot.copy(side).multiplyScalar(Math.cos(a)).addScaledVector(up, Math.sin(a));
        normal.push(spot.x, spot.y, spot.z);
        position.push(
          p.x + spot.x * radius * MM,
          p.y + spot.y * radius * MM,
          p.z + spot.z * radius * MM,
        );
        colours.push(c.r, c.g, c.b);
      }
      if (ring >= 0) {
        for (let i = 0; i < SIDES; i += 1) {
          const j = (i + 1) % SIDES;
          index.push(ring + i, ring + j, start + i, ring + j, start + j, start + i);
        }
      }
      ring = start;
    });
  }
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(new Float32Array(position), 3));
  geometry.setAttribute('normal', new BufferAttribute(new Float32Array(normal), 3));
  geometry.setAttribute('color', new BufferAttribute(new Float32Array(colours), 3));
  geometry.setIndex(index);
  return { geometry };
}
