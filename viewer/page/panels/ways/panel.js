// Does it go in: each thing's answer, its way played, what decides and what frees it.

import { button, el, show } from '../../dom.js';
import { T } from '../../texts.js';
import { Player } from './player.js';
import { outlineDrawing } from './outline.js';
import { sliderFor } from './slider.js';

/** @typedef {import('../../store.js').Store} Store */
/** @typedef {import('../../stage.js').Stage} Stage */
/** @typedef {import('../../wire').WayRow} WayRow */

/** @param {Store} store */
export function badge(store) {
  const rows = store.parts.ways?.pieces ?? [];
  const bad = rows.filter((p) => !p.good).length;
  return bad ? String(bad) : '';
}

/**
 * @param {HTMLElement} host
 * @param {Store} store
 * @param {Stage} stage
 */
export function mount(host, store, stage) {
  const player = new Player(store, stage);
  const list = el('ul', { class: 'verdicts' });
  const detail = el('div', { class: 'detail' });
  host.append(el('p', { class: 'intro' }, T.ways.intro), list, detail);
  const draw = () => {
    const rows = store.parts.ways?.pieces ?? [];
    const key = store.chosen.startsWith('piece:') ? store.chosen.slice(6).split('.')[0] : '';
    show(
      list,
      rows.length
        ? rows.map((row) =>
            el(
              'li',
              {},
              el(
                'button',
                {
                  type: 'button',
                  class: 'row',
                  'data-key': `way:${row.key}`,
                  'aria-pressed': String(row.key === key),
                  onclick: () => choose(row),
                },
                el('span', {}, row.label),
                verdictOf(row),
                row.clashes.length ? el('strong', { class: 'bad' }, row.at_rest) : null,
                el('span', { class: 'hint' }, row.gap === '-' ? '' : row.gap),
              ),
            ),
          )
        : el('li', { class: 'empty' }, store.desk.boat?.stands.length ? T.desk.none : T.ways.none),
    );
    const row = rows.find((r) => r.key === key);
    show(detail, row ? detailOf(store, stage, row, player) : null);
  };
  const choose = (/** @type {WayRow} */ row) => {
    player.leave();
    stage.flyTo(`piece:${row.key}`);
  };
  draw();
  return (/** @type {string} */ what) => {
    if (['answer', 'chosen', 'desk'].includes(what)) {
      if (what !== 'chosen' || player.key !== store.chosen.slice(6)) player.leave();
      draw();
    }
    if (what === 'verdict') draw();
  };
}

/** @param {WayRow} row */
function verdictOf(row) {
  return el('strong', { class: `verdict ${row.verdict.replaceAll(' ', '-')}` }, row.verdict);
}

/** @param {Store} store @param {Stage} stage @param {WayRow} row @param {Player} player */
function detailOf(store, stage, row, player) {
  const facts = /** @type {[string, string][]} */ ([
    [T.ways.gap, row.gap],
    [T.ways.way, row.way],
    [T.ways.inPlace, row.at_rest],
    [T.ways.held, row.held],
    [T.ways.out, row.out_again],
    [T.ways.mass, `${row.mass_kg.toFixed(1)} kg`],
    [T.ways.evidence, row.evidence],
  ]);
  return [
    el('h2', {}, row.label, ' ', verdictOf(row)),
    row.advice ? el('p', { class: 'advice' }, row.advice) : null,
    freeing(store, stage, row),
    row.steps.length ? player.controls(row) : null,
    row.verdict === 'cannot' ? why(store, row) : null,
    ['cannot', 'not settled', 'place not free'].includes(row.verdict) ? remedies(store, row) : null,
    row.deciding.length ? deciding(store, stage, row) : null,
    row.steps.length
      ? el(
          'details',
          { open: true },
          el('summary', {}, T.ways.steps),
          el(
            'ol',
            { class: 'steps-list' },
            row.steps.map((s) =>
              el('li', {}, s.words, s.note ? el('span', { class: 'hint' }, ` ${s.note}`) : null),
            ),
          ),
        )
      : null,
    row.take_out
      ? el('details', {}, el('summary', {}, T.ways.takeOut), el('p', {}, row.take_out))
      : null,
    el(
      'dl',
      { class: 'facts' },
      facts.filter(([, v]) => v && v !== '-').map(([k, v]) => [el('dt', {}, k), el('dd', {}, v)]),
    ),
    row.kept ? el('p', { class: 'hint' }, T.ways.kept) : null,
  ];
}

/** What stands in the way, and the shortest move that frees it. @param {Store} store @param {Stage} stage @param {WayRow} row */
function freeing(store, stage, row) {
  const parts = [];
  if (row.clashes.length) {
    parts.push(el('p', {}, `${T.ways.clash}: ${row.clashes.join('; ')}`));
  }
  const by = row.free_by_mm;
  if (by) {
    stage.ghost(row.key, by);
    parts.push(
      button(`${row.free_words}: ${T.ways.free}`, () => store.edit('ways.free', { key: row.key }), {
        class: 'main',
        disabled: !store.piecesFresh,
      }),
    );
  }
  return parts.length ? el('div', { class: 'freeing' }, parts) : null;
}

/** @param {Store} store @param {WayRow} row */
function why(store, row) {
  const box = el('div', { class: 'why' });
  const load = async () => {
    const found = await store.ask('ways.outline', { key: row.key });
    if (found)
      show(
        box,
        el('h3', {}, T.ways.why),
        outlineDrawing(found),
        found.words.map((w) => el('p', {}, w)),
      );
  };
  if (store.piecesFresh) load();
  return box;
}

/** @param {Store} store @param {WayRow} row */
function remedies(store, row) {
  if (row.remedies === null) {
    return button(T.ways.would, () => store.edit('ways.remedies', { key: row.key }), {
      disabled: !store.fresh,
    });
  }
  return row.remedies.length
    ? el(
        'div',
        {},
        el('p', {}, T.ways.wouldGo),
        el(
          'ul',
          {},
          row.remedies.map((r) => el('li', {}, r)),
        ),
      )
    : el('p', {}, T.ways.wouldNone);
}

/** @param {Store} store @param {Stage} stage @param {WayRow} row */
function deciding(store, stage, row) {
  return el(
    'details',
    { open: row.verdict === 'measure again' },
    el('summary', {}, `${T.ways.decides} (${row.deciding.length})`),
    el('p', { class: 'hint' }, T.ways.again),
    el(
      'ul',
      { class: 'deciding' },
      row.deciding.slice(0, 6).map((d) => sliderFor(store, stage, row, d)),
    ),
  );
}
