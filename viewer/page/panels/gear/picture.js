// A type of gear as a small picture: its boxes seen from a corner.

import { svg } from '../../dom.js';

const SIZE = 56;
const COS = Math.cos(Math.PI / 6);

/** @param {number[]} p */
const seen = ([x, y, z]) => [(x - y) * COS, -(x + y) / 2 - z];

/** @param {import('../../wire').TypeCard} t */
export function pictureOf(t) {
  /** @type {{ look: string, points: number[][], deep: number }[]} */
  const faces = [];
  for (const b of t.boxes) {
    const [l, w, h] = b.size_mm;
    const [x, y, z] = b.at_mm;
    const [x1, x2, y1, y2, z1, z2] = [x - l / 2, x + l / 2, y - w / 2, y + w / 2, z, z + h];
    const deep = x + y - z;
    faces.push({
      look: 'left',
      deep,
      points: [
        [x1, y1, z1],
        [x2, y1, z1],
        [x2, y1, z2],
        [x1, y1, z2],
      ],
    });
    faces.push({
      look: 'right',
      deep,
      points: [
        [x1, y1, z1],
        [x1, y2, z1],
        [x1, y2, z2],
        [x1, y1, z2],
      ],
    });
    faces.push({
      look: 'lid',
      deep,
      points: [
        [x1, y1, z2],
        [x2, y1, z2],
        [x2, y2, z2],
        [x1, y2, z2],
      ],
    });
  }
  const flat = faces.map((f) => ({ ...f, points: f.points.map(seen) }));
  const all = flat.flatMap((f) => f.points);
  const [a, b] = [Math.min(...all.map((p) => p[0])), Math.max(...all.map((p) => p[0]))];
  const [c, d] = [Math.min(...all.map((p) => p[1])), Math.max(...all.map((p) => p[1]))];
  const scale = (SIZE - 6) / Math.max(b - a, d - c, 1);
  const at = (/** @type {number[]} */ p) =>
    [(p[0] - (a + b) / 2) * scale + SIZE / 2, (p[1] - (c + d) / 2) * scale + SIZE / 2]
      .map((x) => x.toFixed(1))
      .join(',');
  return svg(
    'svg',
    {
      width: SIZE,
      height: SIZE,
      viewBox: `0 0 ${SIZE} ${SIZE}`,
      class: 'type-picture',
      'aria-hidden': 'true',
    },
    ...flat
      .sort((p, q) => q.deep - p.deep)
      .map((f) => svg('polygon', { class: f.look, points: f.points.map(at).join(' ') })),
  );
}
