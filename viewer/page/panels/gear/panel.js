// Gear: what is in the boat, the catalogue, things of one's own, and boards from their front.

import { button, dialog, el, field, show } from '../../dom.js';
import { T } from '../../texts.js';
import { askBoard, askOwn } from './asking.js';
import { STEP_MM, chosenPiece, spacesOf } from './chosen.js';
import { pictureOf } from './picture.js';

/** @typedef {import('../../store.js').Store} Store */
/** @typedef {import('../../wire').TypeCard} TypeCard */

const MANY = 8; // things in the boat: a longer list is folded away

/** @param {Store} store */
export function badge(store) {
  const n = store.desk.boat?.stands.length ?? 0;
  return n ? String(n) : '';
}

/**
 * @param {HTMLElement} host
 * @param {Store} store
 */
export function mount(host, store) {
  const view = { search: '', step: STEP_MM, types: /** @type {TypeCard[]} */ ([]) };
  const list = el('ul', { class: 'catalogue' });
  const count = el('p', { class: 'hint', role: 'status' });
  const load = async () => {
    const known = await store.ask('gear.types', {});
    if (known) view.types = known.types;
    drawList();
  };
  const drawList = () => {
    const words = view.search.toLowerCase().split(/\s+/).filter(Boolean);
    const rows = view.types.filter((t) =>
      words.every((w) => `${t.label} ${t.kind}`.toLowerCase().includes(w)),
    );
    count.textContent = T.gear.found(rows.length);
    show(
      list,
      rows.map((t) => typeCard(store, t)),
    );
  };
  const search = field(T.gear.search, { name: 'search', type: 'search' });
  search.input.addEventListener('input', () => {
    view.search = search.input.value;
    drawList();
  });
  const top = el('div', {});
  host.append(top, search.row, count, list);
  const draw = () => {
    show(
      top,
      el('p', { class: 'intro' }, T.gear.intro),
      el(
        'div',
        { class: 'buttons wrap' },
        button(T.gear.own, () => askOwn(store, load)),
        button(T.gear.board, () => askBoard(store)),
      ),
      chosenPiece(store, view),
      inBoat(store),
    );
  };
  draw();
  load();
  return (/** @type {string} */ what) => {
    if (['desk', 'chosen', 'answer', 'verdict'].includes(what)) draw();
  };
}

/** @param {Store} store */
function inBoat(store) {
  const stands = store.desk.boat?.stands ?? [];
  if (!stands.length) return el('p', { class: 'empty' }, T.gear.nothing);
  const verdicts = new Map((store.parts.ways?.pieces ?? []).map((p) => [p.key, p.verdict]));
  return el(
    'details',
    { open: stands.length <= MANY },
    el('summary', {}, `${T.gear.inBoat} (${stands.length})`),
    el(
      'ul',
      { class: 'rows' },
      stands.map((s) =>
        el(
          'li',
          {},
          button(store.label(`piece:${s.key}`), () => store.choose(`piece:${s.key}`), {
            'aria-pressed': String(store.chosen === `piece:${s.key}`),
            class: 'row',
          }),
          el(
            'span',
            { class: `hint ${store.piecesFresh ? '' : 'old'}` },
            verdicts.get(s.key) ?? (s.fixed_already ? 'there already' : ''),
          ),
        ),
      ),
    ),
  );
}

/** @param {Store} store @param {TypeCard} t */
function typeCard(store, t) {
  const size = t.size_mm.map((x) => Math.round(x)).join(' × ');
  const card = el(
    'li',
    { class: 'type', draggable: 'true', title: T.gear.drag },
    pictureOf(t),
    el(
      'span',
      { class: 'type-words' },
      el('strong', {}, t.label),
      el(
        'span',
        { class: 'hint' },
        `${size} mm, ${t.mass_kg} kg${t.own ? `, ${T.gear.own_type}` : ''}`,
      ),
    ),
    button(T.gear.putIn, () => putIn(store, t), {
      'aria-label': `${T.gear.putIn}: ${t.label}`,
      'data-key': `put:${t.key}`,
    }),
  );
  card.addEventListener('dragstart', (e) => e.dataTransfer?.setData('text/coaming-type', t.key));
  return card;
}

/** @param {Store} store @param {TypeCard} t */
function putIn(store, t) {
  const spaces = spacesOf(store);
  const put = (/** @type {string} */ space) => addPiece(store, t.key, space);
  if (store.space) {
    put(store.space);
    return;
  }
  if (spaces.length === 1) {
    put(spaces[0][0]);
    return;
  }
  dialog(`${T.gear.putIn}: ${t.label}`, (done) => [
    el('p', {}, T.gear.putWhere),
    el(
      'div',
      { class: 'buttons wrap' },
      [...spaces, ['outside', T.add.outside]].map(([key, words]) =>
        button(words, () => {
          done();
          put(key);
        }),
      ),
      button(T.size.cancel, done),
    ),
  ]);
}

/** @param {Store} store @param {string} type @param {string} space */
async function addPiece(store, type, space) {
  const before = new Set((store.desk.boat?.stands ?? []).map((s) => s.key));
  if (!(await store.edit('gear.add', { type, space }))) return;
  const made = (store.desk.boat?.stands ?? []).find((s) => !before.has(s.key));
  if (made) store.choose(`piece:${made.key}`);
}
