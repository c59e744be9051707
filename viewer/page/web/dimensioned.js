// The sizes round a square view: dimension lines with figures to type into, and which way is which.

import { svg } from './dom.js';
import { askSize, sizeWords } from './sizeform.js';
import { T } from './texts.js';

/** @typedef {import('./square.js').SquareView} Square */

const LETTER_PX = 7.4;

/** The sizes drawn in this view: of the space looked at and its openings, and of what is chosen.
 * @param {Square} view @param {import('./wire').DimensionRow[]} all */
export function dimensionsHere(view, all) {
  const { space, chosen, desk } = view.store;
  const { u, v } = view.view;
  const inner = new Map((desk.boat?.openings ?? []).map((o) => [`opening:${o.key}`, o.inner]));
  return all.filter((d) => {
    if (d.axis !== u && d.axis !== v) return false;
    if (d.whose === chosen) return true;
    if (!space) return false;
    if (d.whose === `space:${space}`) return true;
    return inner.get(d.whose) === space && !d.key.endsWith(':throat');
  });
}

/**
 * @param {Square} view
 * @param {import('./wire').DimensionRow[]} across @param {import('./wire').DimensionRow[]} up
 * @param {number} bottom @param {number} left
 */
export function drawDimensions(view, across, up, bottom, left) {
  across.forEach((d, n) => {
    const [x1, y1] = view.at(d.from_mm);
    const [x2] = view.at(d.to_mm);
    dimension(view, d, x1, x2, bottom + view.row * (n + 0.5), y1, true);
  });
  up.forEach((d, n) => {
    const [x1, y1] = view.at(d.from_mm);
    const [, y2] = view.at(d.to_mm);
    dimension(view, d, y1, y2, left - view.row * (n + 0.5), x1, false);
  });
}

/**
 * A dimension line with its figure to type into.
 * @param {Square} view
 * @param {import('./wire').DimensionRow} d @param {number} a @param {number} b
 * @param {number} off @param {number} from @param {boolean} flat
 */
function dimension(view, d, a, b, off, from, flat) {
  const p = flat ? [a, off, b, off] : [off, a, off, b];
  const e1 = flat ? [a, from, a, off] : [from, a, off, a];
  const e2 = flat ? [b, from, b, off] : [from, b, off, b];
  const line = (/** @type {number[]} */ q, look = '') =>
    svg('line', { x1: q[0], y1: q[1], x2: q[2], y2: q[3], class: look });
  const [mx, my] = flat ? [(a + b) / 2, off] : [off, (a + b) / 2];
  const words = sizeWords(d);
  const wide = words.length * LETTER_PX + 10;
  const g = svg(
    'g',
    {
      class: `dimension ${d.verified ? '' : 'unverified'}`,
      tabindex: 0,
      role: 'button',
      'aria-label': `${T.stage.dimension}: ${d.words}, ${words}`,
    },
    svg('title', {}, d.words),
    line(p),
    line(e1, 'ext'),
    line(e2, 'ext'),
    svg(
      'g',
      // a figure beside an upright line is turned along it, to be read from the right
      flat ? {} : { transform: `rotate(-90 ${mx} ${my})` },
      svg('rect', {
        x: mx - Math.max(wide, 44) / 2,
        y: my - 22,
        width: Math.max(wide, 44),
        height: 44,
        class: 'reach',
      }),
      svg('rect', {
        x: mx - wide / 2,
        y: my - 10,
        width: wide,
        height: 20,
        class: 'paper',
        rx: 3,
      }),
      svg('text', { x: mx, y: my + 4, class: 'figure' }, words),
    ),
  );
  const act = () => askSize(view.store, d);
  g.addEventListener('click', (e) => {
    e.stopPropagation();
    act();
  });
  g.addEventListener('keydown', (e) => {
    if (/** @type {KeyboardEvent} */ (e).key === 'Enter') act();
  });
  view.drawing?.append(g);
}

/** @param {Square} view @param {number} w */
export function compass(view, w) {
  const { u, su, v } = view.view;
  const words = [T.stage.forward, T.stage.port, T.stage.up3];
  const left = su < 0;
  return svg(
    'g',
    { class: 'compass', 'aria-hidden': 'true' },
    svg(
      'text',
      { x: left ? 8 : w - 8, y: 18, 'text-anchor': left ? 'start' : 'end' },
      left ? `← ${words[u]}` : `${words[u]} →`,
    ),
    svg(
      'text',
      { x: left ? 8 : w - 8, y: 36, 'text-anchor': left ? 'start' : 'end' },
      `↑ ${words[v]}`,
    ),
  );
}

/** The sizes there is room for: those that matter most, the shortest drawn nearest.
 * @param {import('./wire').DimensionRow[]} rows @param {number} most */
export function mattering(rows, most) {
  return [...rows]
    .sort((a, b) => a.rank - b.rank)
    .slice(0, most)
    .sort((a, b) => a.mm - b.mm);
}

export function hatching() {
  return svg(
    'defs',
    {},
    svg(
      'pattern',
      {
        id: 'hatch',
        width: 7,
        height: 7,
        patternUnits: 'userSpaceOnUse',
        patternTransform: 'rotate(45)',
      },
      svg('line', { x1: 0, y1: 0, x2: 0, y2: 7, class: 'hatch-line' }),
    ),
  );
}
