// The single-line diagram: one line a circuit, from the batteries on.

import { el, svg } from '../../dom.js';
import { T } from '../../texts.js';

const COLUMN = 190;
const ROW = 58;
const BOX_W = 138;
const BOX_H = 36;
const LETTERS = 21;

/**
 * @param {import('../../store.js').Store} store
 * @param {import('../../wire').DiagramRow} d
 */
export function diagram(store, d) {
  if (!d.nodes.length) return el('p', { class: 'empty' }, T.cables.noDiagram);
  const columns = Math.max(...d.nodes.map((n) => n.column)) + 1;
  const rows = Math.max(...d.nodes.map((n) => n.row)) + 1;
  const [w, h] = [columns * COLUMN, rows * ROW + 12];
  const at = new Map(d.nodes.map((n) => [n.key, [n.column * COLUMN + 4, n.row * ROW + 8]]));
  const drawing = svg('svg', {
    width: w,
    height: h,
    viewBox: `0 0 ${w} ${h}`,
    class: 'diagram',
    role: 'group',
    'aria-label': T.cables.diagram,
  });
  const number = store.chosen.startsWith('circuit:') ? store.chosen.slice(8) : '';
  const between = new Map();
  for (const e of d.edges) {
    const key = `${e.start}|${e.goal}`;
    between.set(key, (between.get(key) ?? 0) + 1);
    drawing.append(lineOf(store, e, at, between.get(key), e.number === number));
  }
  for (const n of d.nodes) {
    const [x, y] = at.get(n.key) ?? [0, 0];
    const label = n.label.length > LETTERS ? `${n.label.slice(0, LETTERS - 1)}…` : n.label;
    const g = svg(
      'g',
      { class: 'node', tabindex: 0, role: 'button', 'aria-label': n.label },
      svg('title', {}, n.label),
      svg('rect', { x, y, width: BOX_W, height: BOX_H, rx: 4 }),
      svg('text', { x: x + 7, y: y + 22 }, label),
    );
    const act = () => store.choose(`piece:${n.key.split('.')[0]}`);
    g.addEventListener('click', act);
    g.addEventListener('keydown', (e) => e.key === 'Enter' && act());
    drawing.append(g);
  }
  return el(
    'div',
    { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': T.cables.diagram },
    drawing,
  );
}

/**
 * @param {import('../../store.js').Store} store @param {import('../../wire').EdgeRow} e
 * @param {Map<string, number[]>} at @param {number} n @param {boolean} chosen
 */
function lineOf(store, e, at, n, chosen) {
  const [a, b] = [at.get(e.start) ?? [0, 0], at.get(e.goal) ?? [0, 0]];
  const forward = b[0] > a[0];
  const start = [a[0] + BOX_W, a[1] + BOX_H / 2 + (n - 1) * 7 - 6];
  const goal = forward
    ? [b[0], b[1] + BOX_H / 2 + (n - 1) * 7 - 6]
    : [b[0] + BOX_W, b[1] + BOX_H / 2 + 8];
  const bend = forward ? goal[0] - 14 - (n - 1) * 6 : Math.max(start[0], goal[0]) + 14;
  const path = `M${start[0]} ${start[1]} H${bend} V${goal[1]} H${goal[0]}`;
  const words = `${e.number} ${store.label(`circuit:${e.number}`)}: ${e.words}`;
  const g = svg(
    'g',
    {
      class: `edge ${e.good ? '' : 'look'} ${chosen ? 'chosen' : ''}`,
      tabindex: 0,
      role: 'button',
      'aria-label': words,
      'aria-pressed': String(chosen),
    },
    svg('title', {}, words),
    svg('path', { d: path }),
    svg('path', { d: path, class: 'reach' }),
    svg(
      'text',
      { x: bend - 3, y: goal[1] - 3, 'text-anchor': 'end', class: 'edge-words' },
      e.number,
    ),
  );
  const act = () => store.choose(`circuit:${e.number}`);
  g.addEventListener('click', act);
  g.addEventListener('keydown', (k) => k.key === 'Enter' && act());
  return g;
}
