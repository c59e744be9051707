// Gear: what is in the boat, the catalogue, things of one's own, and boards from their front.

import { button, dialog, el, field, show, tick } from '../../dom.js';
import { T } from '../../texts.js';
import { takeOut } from '../measure/panel.js';
import { boardFront } from './board.js';
import { pictureOf } from './picture.js';

/** @typedef {import('../../store.js').Store} Store */
/** @typedef {import('../../wire').TypeCard} TypeCard */

const STEP_MM = 10;
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

/** @param {Store} store @returns {[string, string][]} */
function spacesOf(store) {
  return (store.desk.boat?.spaces ?? []).map((s) => [s.key, store.label(`space:${s.key}`)]);
}

/** The chosen piece: moved, turned, put elsewhere, named, taken out.
 * @param {Store} store @param {{ step: number, types: TypeCard[] }} view */
function chosenPiece(store, view) {
  if (!store.chosen.startsWith('piece:')) return null;
  const key = store.chosen.slice(6);
  const stand = store.desk.boat?.stands.find((s) => s.key === key);
  if (!stand) return null;
  const group = stand.is_board ? 'boards' : 'pieces';
  const table = /** @type {any} */ (store.desk.job_tables)[group]?.[key] ?? {};
  /** @type {[keyof typeof T.gear.moves, number, number][]} */
  const ways = [
    ['fore', 0, 1],
    ['aft', 0, -1],
    ['port', 1, 1],
    ['star', 1, -1],
    ['up', 2, 1],
    ['down', 2, -1],
  ];
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
  const way = store.parts.ways?.pieces.find((p) => p.key === key);
  return el(
    'div',
    { class: 'chosen-box' },
    el('h2', {}, store.label(store.chosen)),
    way
      ? el(
          'p',
          { class: `verdict-line ${store.piecesFresh ? '' : 'old'}` },
          el('strong', { class: `verdict ${way.verdict.replaceAll(' ', '-')}` }, way.verdict),
          ' ',
          way.advice,
          ' ',
          button(T.panels.ways, () => store.tell('open:ways'), { class: 'plain' }),
        )
      : null,
    el(
      'fieldset',
      {},
      el('legend', {}, T.gear.move),
      el(
        'div',
        { class: 'buttons wrap' },
        ways.map(([w, k, sign]) => button(T.gear.moves[w], () => by(k, sign))),
      ),
      step.row,
    ),
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
    field(T.gear.label, {
      value: store.label(store.chosen),
      change: (value) =>
        store.edit('desk.set', {
          file: 'job',
          path: [group, key, 'label'],
          value,
          words: `${value}: renamed`,
        }),
    }).row,
    field(T.gear.held, {
      value: table.held_by ?? '',
      change: (value) =>
        store.edit('desk.set', {
          file: 'job',
          path: [group, key, 'held_by'],
          value: value || null,
          words: `${store.label(store.chosen)}: held by ${value || 'what it touches'}`,
        }),
    }).row,
    stand.is_board
      ? el(
          'div',
          { class: 'fields' },
          [T.gear.plateLength, T.gear.plateHeight, T.gear.thickness].map(
            (words, k) =>
              field(words, {
                name: `plate${k}`,
                value: String(table.plate?.[k] ?? ''),
                mode: 'decimal',
                change: (value) =>
                  store.edit('desk.set', {
                    file: 'job',
                    path: ['boards', key, 'plate', k],
                    value: lengthOf(value),
                    words: `${store.label(store.chosen)}: ${words.toLowerCase()} ${value}`,
                  }),
              }).row,
          ),
        )
      : tick(T.gear.fixed, Boolean(table.fixed_already), (on) =>
          store.edit('desk.set', {
            file: 'job',
            path: ['pieces', key, 'fixed_already'],
            value: on || null,
            words: `${store.label(store.chosen)}: ${on ? T.gear.fixed : T.gear.toFit}`,
          }),
        ).row,
    stand.is_board ? boardFront(store, key, view.types) : null,
    button(T.gear.remove, () => takeOut(store, 'job', [group, key])),
  );
}

/** A bare number stays one; a length with its unit stays text. @param {string} text */
function lengthOf(text) {
  const plain = text.trim().replace(',', '.');
  return /^\d+(\.\d+)?$/.test(plain) ? Number(plain) : text.trim();
}

/** @param {Store} store @param {() => void} load */
function askOwn(store, load) {
  dialog(T.gear.own, (done) => {
    const kinds = [
      'battery',
      'charger',
      'converter',
      'isolator',
      'fuse panel',
      'bus bar',
      'shunt',
      'fuse',
      'instrument',
      'pump',
      'light',
      'motor',
      'radio',
      'sensor',
      'switch',
      'other',
    ];
    const f = {
      label: field(T.gear.label, { name: 'label', required: true }),
      kind: field(T.gear.kind, { name: 'kind', options: kinds.map((k) => [k, k]) }),
      length: field(T.start.length, {
        name: 'length',
        mode: 'decimal',
        required: true,
        hint: T.start.lengthHint,
      }),
      breadth: field(T.start.breadth, { name: 'breadth', mode: 'decimal', required: true }),
      height: field(T.start.height, { name: 'height', mode: 'decimal', required: true }),
      mass: field(T.gear.mass, { name: 'mass', mode: 'decimal', required: true }),
      volts: field(T.gear.volts, { name: 'volts', mode: 'decimal' }),
      source: field(T.gear.source, { name: 'source' }),
    };
    const upright = tick(T.gear.upright, false);
    const number = (/** @type {string} */ x) => Number.parseFloat(x.replace(',', '.'));
    const go = async (/** @type {Event} */ e) => {
      e.preventDefault();
      const volts = number(f.volts.input.value);
      const mass = number(f.mass.input.value);
      const done2 = await store.edit('gear.own_type', {
        label: f.label.input.value,
        kind: f.kind.input.value,
        length: f.length.input.value,
        breadth: f.breadth.input.value,
        height: f.height.input.value,
        mass_kg: Number.isFinite(mass) ? mass : 0,
        upright: upright.input.checked,
        volts: Number.isFinite(volts) ? volts : null,
        source: f.source.input.value,
      });
      if (done2) {
        done();
        load();
      }
    };
    return [
      el(
        'form',
        { class: 'wide', onsubmit: go },
        el('p', { class: 'hint' }, T.gear.ownHint),
        el(
          'div',
          { class: 'fields' },
          Object.values(f).map((x) => x.row),
          upright.row,
        ),
        el(
          'div',
          { class: 'buttons' },
          el('button', { class: 'main' }, T.add.go),
          button(T.size.cancel, done),
        ),
      ),
    ];
  });
}

/** @param {Store} store */
function askBoard(store) {
  dialog(T.gear.board, (done) => {
    const f = {
      label: field(T.gear.label, { name: 'label', required: true }),
      space: field(T.gear.putWhere, {
        name: 'space',
        options: spacesOf(store),
        value: store.space || undefined,
      }),
      face: field(T.gear.onSide, {
        name: 'face',
        options: Object.entries(T.faces),
        value: 'forward',
      }),
      length: field(T.gear.plateLength, { name: 'length', mode: 'decimal', required: true }),
      height: field(T.gear.plateHeight, { name: 'height', mode: 'decimal', required: true }),
      thickness: field(T.gear.thickness, { name: 'thickness', value: '12', mode: 'decimal' }),
      stand: field(T.gear.standOff, { name: 'stand_off', value: '20', mode: 'decimal' }),
    };
    const go = async (/** @type {Event} */ e) => {
      e.preventDefault();
      const before = new Set((store.desk.boat?.stands ?? []).map((s) => s.key));
      const made = await store.edit('gear.new_board', {
        label: f.label.input.value,
        space: f.space.input.value,
        face: /** @type {any} */ (f.face.input.value),
        length: f.length.input.value,
        height: f.height.input.value,
        thickness: f.thickness.input.value,
        stand_off_mm: Number.parseFloat(f.stand.input.value.replace(',', '.')) || 0,
      });
      if (!made) return;
      done();
      const board = (store.desk.boat?.stands ?? []).find((s) => !before.has(s.key));
      if (board) store.choose(`piece:${board.key}`);
    };
    return [
      el(
        'form',
        { class: 'wide', onsubmit: go },
        el('p', { class: 'hint' }, T.gear.boardHint),
        el(
          'div',
          { class: 'fields' },
          Object.values(f).map((x) => x.row),
        ),
        el(
          'div',
          { class: 'buttons' },
          el('button', { class: 'main' }, T.add.go),
          button(T.size.cancel, done),
        ),
      ),
    ];
  });
}
