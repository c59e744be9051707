// A part added to the boat: the fields its kind asks for.

import { button, dialog, el, field } from '../../dom.js';
import { who } from '../../store.js';
import { T } from '../../texts.js';

/** @typedef {import('../../store.js').Store} Store */
/** @typedef {'space' | 'opening' | 'solid' | 'hazard' | 'hole' | 'pipe' | 'tray'} Kind */

const SOLIDS = [
  'structure',
  'hull side',
  'tank',
  'engine',
  'pipework',
  'lid',
  'strut',
  'furniture',
];
const HAZARDS = [
  'hot',
  'moving',
  'steering sweep',
  'hose',
  'limber',
  'sharp edge',
  'fuel',
  'petrol vent',
  'petrol tank',
  'petrol source',
  'bilge water',
  'compass',
  'heading sensor',
  'radio aerial',
];

/** @param {string[]} words @returns {[string, string][]} */
const same = (words) => words.map((w) => [w, w]);

/** What each kind is asked, in order: the field's name, and its choices or null for a length.
 * @param {Store} store @param {Kind} kind @returns {[string, [string, string][] | null | 'number'][]} */
function asks(store, kind) {
  const spaces = /** @type {[string, string][]} */ (
    (store.desk.boat?.spaces ?? []).map((s) => [s.key, store.label(`space:${s.key}`)])
  );
  const outside = /** @type {[string, string][]} */ ([['outside', T.add.outside]]);
  const sides = /** @type {[string, string][]} */ (Object.entries(T.faces));
  /** @type {[string, [string, string][] | null | 'number'][]} */
  const box = [
    ['space', [...spaces, ...outside]],
    ['from_aft', null],
    ['from_starboard', null],
    ['from_floor', null],
    ['length', null],
    ['breadth', null],
    ['height', null],
  ];
  /** @type {[string, [string, string][] | null | 'number'][]} */
  const spot = [
    ['from_aft', null],
    ['from_starboard', null],
    ['from_floor', null],
  ];
  /** @type {[string, [string, string][] | null | 'number'][]} */
  const other = [
    ['to_from_aft', null],
    ['to_from_starboard', null],
    ['to_from_floor', null],
  ];
  switch (kind) {
    case 'space':
      return [
        ['site', Object.entries(T.sites)],
        ['length', null],
        ['breadth', null],
        ['height', null],
        ['beside', [['', T.add.nowhere], ...spaces]],
        ['side', sides],
        ['from_aft', null],
        ['from_starboard', null],
        ['from_floor', null],
      ];
    case 'opening':
      return [
        ['space', spaces],
        ['face', sides],
        ['to', [...outside, ...spaces]],
        ['size_first', null],
        ['size_second', null],
        ['from_first', null],
        ['from_second', null],
        ['corner_radius', null],
        ['throat', null],
      ];
    case 'solid':
      return [['what', same(SOLIDS)], ...box, ['removable_minutes', 'number']];
    case 'hazard':
      return [['what', same(HAZARDS)], ...box, ['keep_off', null]];
    case 'hole':
      return [
        ['space', spaces],
        ['face', sides],
        ['to', [...outside, ...spaces]],
        ...spot,
        ['bore', null],
        ['edge', Object.entries(T.edges)],
        ['ways', 'number'],
      ];
    case 'pipe':
      return [
        ['space', spaces],
        ...spot,
        ['to', spaces],
        ...other,
        ['bore', null],
        ['bends', 'number'],
        ['pipe_length', null],
      ];
    default:
      return [['space', spaces], ...spot, ['to', spaces], ...other];
  }
}

/** @param {Store} store @param {Kind} kind */
export function askPart(store, kind) {
  dialog(T.measure.kinds[kind], (done) => {
    const label = field(T.add.label, { name: 'label', required: true });
    /** @type {Record<string, ReturnType<typeof field>>} */
    const made = {};
    for (const [name, choices] of asks(store, kind)) {
      const value = name === 'space' && store.space ? store.space : undefined;
      made[name] = Array.isArray(choices)
        ? field(wordsOf(name, 'top'), { name, options: choices, value })
        : field(wordsOf(name, 'top'), { name, mode: 'decimal' });
    }
    const side = made.face;
    if (kind === 'opening' && side) {
      const rename = () => {
        for (const name of ['size_first', 'size_second', 'from_first', 'from_second']) {
          const words = made[name].row.querySelector('label');
          if (words) words.textContent = wordsOf(name, side.input.value);
        }
      };
      side.input.addEventListener('change', rename);
      rename();
    }
    const how = field(T.size.how, {
      name: 'how',
      value: 'tape',
      options: [['', T.size.choice], ...same(Object.keys(store.desk.ways_of_measuring))],
    });
    const by = field(T.size.by, { name: 'by', value: who.get() });
    const go = async (/** @type {Event} */ e) => {
      e.preventDefault();
      who.set(by.input.value);
      const fields = Object.fromEntries(
        Object.entries(made).map(([k, f]) => [k === 'pipe_length' ? 'length' : k, f.input.value]),
      );
      const asked = {
        kind,
        label: label.input.value,
        fields,
        how: how.input.value,
        by: by.input.value,
      };
      if (await store.edit('measure.add', asked)) done();
    };
    return [
      el(
        'form',
        { class: 'wide', onsubmit: go },
        el('p', { class: 'hint' }, T.start.lengthHint),
        el(
          'div',
          { class: 'fields' },
          label.row,
          Object.values(made).map((f) => f.row),
          how.row,
          by.row,
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

/** @param {string} name @param {string} face */
function wordsOf(name, face) {
  const side = /** @type {keyof typeof T.start.across} */ (face in T.start.across ? face : 'top');
  const pairs = /** @type {Record<string, string>} */ ({
    size_first: T.start.across[side][0],
    size_second: T.start.across[side][1],
    from_first: `${T.start.from[side][0]} (${T.start.middle})`,
    from_second: `${T.start.from[side][1]} (${T.start.middle})`,
    site: T.start.site,
  });
  return (
    pairs[name] ?? /** @type {Record<string, string>} */ (/** @type {any} */ (T.add))[name] ?? name
  );
}
