// What is too big for what: the opening and the outlines of a thing laid on it, to one scale.

import { el, svg } from '../../dom.js';
import { T } from '../../texts.js';

const WIDE_PX = 150;

/** @param {import('../../wire').OutlineRow} found */
export function outlineDrawing(found) {
  const hole = [...found.opening_mm].sort((a, b) => b - a);
  const outlines = found.outlines.map((o) => [...o].sort((a, b) => b - a));
  const most = Math.max(hole[0], hole[1], ...outlines.flat());
  const s = WIDE_PX / most;
  const one = (/** @type {number[]} */ o) => {
    const c = WIDE_PX / 2 + 4;
    const rect = (/** @type {number[]} */ size, /** @type {string} */ look, r = 0) =>
      svg('rect', {
        x: c - (size[0] * s) / 2,
        y: c - (size[1] * s) / 2,
        width: size[0] * s,
        height: size[1] * s,
        rx: r * s,
        class: look,
      });
    const fits = o[0] <= hole[0] && o[1] <= hole[1];
    return el(
      'figure',
      {},
      svg(
        'svg',
        { width: 2 * c, height: 2 * c, viewBox: `0 0 ${2 * c} ${2 * c}`, 'aria-hidden': 'true' },
        rect(hole, 'hole', found.radius_mm),
        rect(o, fits ? 'outline' : 'outline over'),
      ),
      el('figcaption', {}, `${Math.round(o[0])} × ${Math.round(o[1])} mm`),
    );
  };
  return el(
    'div',
    {},
    el('p', { class: 'hint' }, T.ways.outline),
    el('div', { class: 'outlines' }, outlines.map(one)),
  );
}
