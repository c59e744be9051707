// The chosen piece: moved, turned, put elsewhere, named, taken out; a board from its front.

import { button, el, field, tick } from '../../dom.js';
import { T } from '../../texts.js';
import { takeOut } from '../measure/panel.js';
import { boardFront } from './board.js';

/** @typedef {import('../../store.js').Store} Store */
/** @typedef {import('../../wire').TypeCard} TypeCard */
/** @typedef {import('../../wire').StandRow} StandRow */
/** @typedef {{ step: number, types: TypeCard[] }} View */

export const STEP_MM = 10;

/** @type {[keyof typeof T.gear.moves, number, number][]} */
const WAYS = [
  ['fore', 0, 1],
  ['aft', 0, -1],
  ['port', 1, 1],
  ['star', 1, -1],
  ['up', 2, 1],
  ['down', 2, -1],
];

/** @param {Store} store @returns {[string, string][]} */
export function spacesOf(store) {
  return (store.desk.boat?.spaces ?? []).map((s) => [s.key, store.label(`space:${s.key}`)]);
}

/** @param {Store} store @param {View} view */
export function chosenPiece(store, view) {
  if (!store.chosen.startsWith('piece:')) return null;
  const key = store.chosen.slice(6);
  const stand = store.desk.boat?.stands.find((s) => s.key === key);
  if (!stand) return null;
  const group = stand.is_board ? 'boards' : 'pieces';
  const table = /** @type {any} */ (store.desk.job_tables)[group]?.[key] ?? {};
  return el(
    'div',
    { class: 'chosen-box' },
    el('h2', {}, store.label(store.chosen)),
    verdictLine(store, key),
    moves(store, view, key),
    el(
      'div',
      { class: 'buttons wrap' },
      /** @type {const} */ (['z', 'y', 'x']).map((about) =>
        button(T.gear.turns[about], () => store.edit('gear.turn', { key, about })),
      ),
    ),
    field(T.gear.into, {
      value: stand.space,
      options: [...spacesOf(store), ['outside', T.add.outside]],
      change: (space) => store.edit('gear.into', { key, space }),
    }).row,
    words(store, [group, key, 'label'], T.gear.label, store.label(store.chosen), (v) => v),
    words(store, [group, key, 'held_by'], T.gear.held, table.held_by ?? '', (v) => v || null),
    stand.is_board ? plate(store, key, table) : alreadyThere(store, key, table),
    stand.is_board ? boardFront(store, key, view.types) : null,
    button(T.gear.remove, () => takeOut(store, 'job', [group, key])),
  );
}

/** What the engine says of the chosen piece. @param {Store} store @param {string} key */
function verdictLine(store, key) {
  const way = store.parts.ways?.pieces.find((p) => p.key === key);
  if (!way) return null;
  return el(
    'p',
    { class: `verdict-line ${store.piecesFresh ? '' : 'old'}` },
    el('strong', { class: `verdict ${way.verdict.replaceAll(' ', '-')}` }, way.verdict),
    ' ',
    way.advice,
    ' ',
    button(T.panels.ways, () => store.tell('open:ways'), { class: 'plain' }),
  );
}

/** Steps of a chosen length. @param {Store} store @param {View} view @param {string} key */
function moves(store, view, key) {
  const by = (/** @type {number} */ k, /** @type {number} */ sign) => {
    const mm = /** @type {[number, number, number]} */ ([0, 0, 0]);
    mm[k] = sign * view.step;
    store.edit('gear.move', { key, by_mm: mm });
  };
  const step = field(T.gear.step, {
    name: 'step',
    value: String(view.step),
    mode: 'decimal',
    change: (value) => {
      view.step = Math.abs(Number.parseFloat(value.replace(',', '.'))) || STEP_MM;
    },
  });
  return el(
    'fieldset',
    {},
    el('legend', {}, T.gear.move),
    el(
      'div',
      { class: 'buttons wrap' },
      WAYS.map(([w, k, sign]) => button(T.gear.moves[w], () => by(k, sign))),
    ),
    step.row,
  );
}

/** One word of the chosen piece to type over.
 * @param {Store} store @param {string[]} path @param {string} label @param {string} value
 * @param {(text: string) => string | null} write */
function words(store, path, label, value, write) {
  return field(label, {
    value,
    change: (text) =>
      store.edit('desk.set', {
        file: 'job',
        path,
        value: write(text),
        words: `${store.label(store.chosen)}: ${label.toLowerCase()} ${text}`,
      }),
  }).row;
}

/** A plate's three sizes. @param {Store} store @param {string} key @param {any} table */
function plate(store, key, table) {
  const size = (/** @type {string} */ label, /** @type {number} */ k) =>
    field(label, {
      name: `plate${k}`,
      value: String(table.plate?.[k] ?? ''),
      mode: 'decimal',
      change: (value) =>
        store.edit('desk.set', {
          file: 'job',
          path: ['boards', key, 'plate', k],
          value: lengthOf(value),
          words: `${store.label(store.chosen)}: ${label.toLowerCase()} ${value}`,
        }),
    }).row;
  return el(
    'div',
    { class: 'fields' },
    [T.gear.plateLength, T.gear.plateHeight, T.gear.thickness].map(size),
  );
}

/** @param {Store} store @param {string} key @param {any} table */
function alreadyThere(store, key, table) {
  return tick(T.gear.fixed, Boolean(table.fixed_already), (on) =>
    store.edit('desk.set', {
      file: 'job',
      path: ['pieces', key, 'fixed_already'],
      value: on || null,
      words: `${store.label(store.chosen)}: ${on ? T.gear.fixed : T.gear.toFit}`,
    }),
  ).row;
}

/** A bare number stays one; a length with its unit stays text. @param {string} text */
function lengthOf(text) {
  const plain = text.trim().replace(',', '.');
  return /^\d+(\.\d+)?$/.test(plain) ? Number(plain) : text.trim();
}
