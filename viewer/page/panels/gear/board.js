// A board from its front: parts dragged, moved by arrow keys, turned, put on and taken off.

import { button, cut, el, field, svg } from '../../dom.js';
import { T } from '../../texts.js';
import { takeOut } from '../measure/panel.js';

/** @typedef {import('../../store.js').Store} Store */
/** @typedef {import('../../wire').TypeCard} TypeCard */

const WIDE_PX = 380;
const SNAP_MM = 6;
const NOT_ON_A_BOARD = [
  'battery',
  'motor',
  'starter',
  'alternator',
  'light',
  'navigation light',
  'solar panel',
  'pump',
  'blower',
];

/** Which part of which board is chosen. @type {{ board: string, part: string }} */
const chosen = { board: '', part: '' };

/**
 * @param {Store} store
 * @param {string} key
 * @param {TypeCard[]} types
 */
export function boardFront(store, key, types) {
  const table = /** @type {any} */ (store.desk.job_tables).boards?.[key];
  const plate = [0, 1].map((k) =>
    lengthOf(store, `boards.${key}.plate[${k + 1}]`, table?.plate?.[k]),
  );
  const [wide, high] = plate;
  if (!table || !wide || !high) return null;
  if (chosen.board !== key) Object.assign(chosen, { board: key, part: '' });
  const scale = WIDE_PX / Math.max(wide, high * 1.2);
  const drawing = svg(
    'svg',
    {
      class: 'front',
      width: wide * scale + 2,
      height: high * scale + 2,
      viewBox: `-1 -1 ${wide * scale + 2} ${high * scale + 2}`,
      role: 'group',
      'aria-label': T.gear.parts,
    },
    svg('rect', { x: 0, y: 0, width: wide * scale, height: high * scale, class: 'plate' }),
  );
  const known = new Map(types.map((t) => [t.key, t]));
  const parts = Object.entries(/** @type {Record<string, any>} */ (table.parts ?? {}));
  for (const [name, part] of parts) {
    drawing.append(
      partOf(store, key, name, part, known.get(part.type), { scale, wide, high, parts, known }),
    );
  }
  const one = chosen.part && table.parts?.[chosen.part];
  return el(
    'div',
    { class: 'board' },
    el('h3', {}, T.gear.parts),
    drawing,
    one
      ? el(
          'div',
          { class: 'buttons wrap' },
          el('span', { class: 'badge-words' }, labelOf(chosen.part, one)),
          button(T.gear.turnPart, () =>
            store.edit('gear.part', {
              board: key,
              part: chosen.part,
              turn: /** @type {any} */ (((one.turn ?? 0) + 90) % 360),
            }),
          ),
          button(T.gear.removePart, () =>
            takeOut(store, 'job', ['boards', key, 'parts', chosen.part]),
          ),
        )
      : null,
    field(T.gear.addPart, {
      options: [
        ['', T.cables.choose],
        ...types
          .filter((t) => !NOT_ON_A_BOARD.includes(t.kind))
          .map((t) => /** @type {[string, string]} */ ([t.key, t.label])),
      ],
      change: (type) => type && store.edit('gear.part', { board: key, type }),
    }).row,
  );
}

/** @param {Store} store @param {string} key @param {unknown} written */
function lengthOf(store, key, written) {
  if (typeof written === 'number') return written;
  return store.desk.sizes.find((s) => s.key === key)?.mm ?? 0;
}

/** @param {string} name @param {any} part */
function labelOf(name, part) {
  return part.label ?? name.replaceAll('_', ' ');
}

/** Half its sides on the plate. @param {TypeCard | undefined} t @param {number} turn */
function halfOf(t, turn) {
  const [a, b] = t ? [t.size_mm[0] / 2, t.size_mm[1] / 2] : [25, 25];
  return turn % 180 ? [b, a] : [a, b];
}

/**
 * @param {Store} store @param {string} board @param {string} name @param {any} part
 * @param {TypeCard | undefined} t
 * @param {{ scale: number, wide: number, high: number, parts: [string, any][], known: Map<string, TypeCard> }} on
 */
function partOf(store, board, name, part, t, on) {
  const at = part.at.map(
    (/** @type {unknown} */ x, /** @type {number} */ k) =>
      lengthOf(store, `boards.${board}.parts.${name}.at[${k + 1}]`, x) || Number(x) || 0,
  );
  const half = halfOf(t, part.turn ?? 0);
  const [x, y] = [(at[0] - half[0]) * on.scale, (on.high - at[1] - half[1]) * on.scale];
  const label = labelOf(name, part);
  const g = svg(
    'g',
    {
      class: `part ${chosen.part === name ? 'chosen' : ''}`,
      tabindex: 0,
      role: 'button',
      'aria-label': label,
      'data-key': `part:${name}`,
    },
    svg('title', {}, t?.label ?? part.type),
    svg('rect', { x, y, width: 2 * half[0] * on.scale, height: 2 * half[1] * on.scale }),
    svg(
      'text',
      { x: x + half[0] * on.scale, y: y + half[1] * on.scale + 4, class: 'label mid' },
      cut(label, Math.max(3, Math.floor((half[0] * on.scale) / 3.2))),
    ),
  );
  const put = (/** @type {number[]} */ by) => {
    chosen.part = name;
    const to = /** @type {[number, number]} */ (
      [at[0] + by[0], at[1] + by[1]].map((v) => Math.round(v * 2) / 2)
    );
    store.edit('gear.part', { board, part: name, at_mm: to });
  };
  const lines = [0, 1].map((k) => [
    0,
    k ? on.high : on.wide,
    ...on.parts
      .filter(([other]) => other !== name)
      .flatMap(([, p]) => {
        const h = halfOf(on.known.get(p.type), p.turn ?? 0);
        return [Number(p.at[k]) - h[k], Number(p.at[k]), Number(p.at[k]) + h[k]];
      }),
  ]);
  g.addEventListener('pointerdown', (down) => {
    g.setPointerCapture(down.pointerId);
    store.hold();
    let by = [0, 0];
    const move = (/** @type {PointerEvent} */ e) => {
      by = [(e.clientX - down.clientX) / on.scale, -(e.clientY - down.clientY) / on.scale].map(
        (d, k) => snapped(d, at[k], half[k], lines[k]),
      );
      g.setAttribute('transform', `translate(${by[0] * on.scale} ${-by[1] * on.scale})`);
    };
    const up = () => {
      g.removeEventListener('pointermove', move);
      g.removeEventListener('pointerup', up);
      store.letGo();
      if (Math.hypot(...by) > 1) put(by);
      else {
        chosen.part = name;
        store.tell('chosen');
      }
    };
    g.addEventListener('pointermove', move);
    g.addEventListener('pointerup', up);
  });
  g.addEventListener('keydown', (e) => {
    const step = e.shiftKey ? 1 : 5;
    const ways = /** @type {Record<string, number[]>} */ ({
      ArrowLeft: [-step, 0],
      ArrowRight: [step, 0],
      ArrowUp: [0, step],
      ArrowDown: [0, -step],
    });
    if (ways[e.key]) {
      e.preventDefault();
      put(ways[e.key]);
    } else if (e.key === 'Enter' || e.key === ' ') {
      e.preventDefault();
      chosen.part = name;
      store.tell('chosen');
    }
  });
  return g;
}

/** @param {number} d @param {number} at @param {number} half @param {number[]} lines */
function snapped(d, at, half, lines) {
  let best = d;
  let near = SNAP_MM;
  for (const line of lines) {
    for (const side of [at - half, at, at + half]) {
      const off = Math.abs(line - side - d);
      if (off < near) {
        near = off;
        best = line - side;
      }
    }
  }
  return best;
}
