// What the job takes and costs, live; what no model shows is told here; states and changes.

import { button, el, field, show, tick } from '../../dom.js';
import { T } from '../../texts.js';

/** @typedef {import('../../store.js').Store} Store */

/** @param {Store} store */
export function badge(store) {
  return store.parts.estimate?.unpriced.length ? String(store.parts.estimate.unpriced.length) : '';
}

const CHOICES = /** @type {const} */ ({
  strip_out: ['none', 'little', 'usual', 'much'],
  kind: ['first', 'usual', 'repeat'],
  afloat: ['no', 'yes'],
  hot: ['no', 'yes'],
});
const TEXTS = /** @type {const} */ (['customer', 'made']);
const NUMBERS = /** @type {const} */ ([
  'age_years',
  'road_hours',
  'linings_minutes',
  'contingency_percent',
]);

/**
 * @param {HTMLElement} host
 * @param {Store} store
 */
export function mount(host, store) {
  const sums = el('div', {});
  const told = el('div', {});
  const holes = el('div', {});
  // the boxes stay while what is in them is drawn anew: a click on one is never lost
  const toldBox = el('details', {}, el('summary', {}, T.estimate.told), told);
  const holesBox = el('details', {}, el('summary', {}, T.estimate.holes), holes);
  const tables = el('div', {});
  const states = el('div', {});
  const open = { since: false }; // what a person opened stays so
  const typed = { why: field(T.estimate.why, {}), photo: field(T.estimate.photo, {}) };
  host.append(
    el('p', { class: 'intro' }, T.estimate.intro),
    sums,
    states,
    toldBox,
    holesBox,
    tables,
  );
  const draw = () => {
    const part = store.parts.estimate;
    if (!part) {
      show(sums, el('p', { class: 'empty' }, T.estimate.none));
      return;
    }
    show(
      sums,
      el(
        'dl',
        { class: 'facts' },
        part.sums.map(([k, v]) => [el('dt', {}, k), el('dd', {}, v)]),
      ),
      el('p', { class: 'hint' }, part.spread),
      part.no_way.length ? el('p', {}, `${T.estimate.noWay} ${part.no_way.join('; ')}`) : null,
      part.unpriced.length
        ? el(
            'details',
            {},
            el('summary', {}, `${T.estimate.unpriced} (${part.unpriced.length})`),
            el(
              'ul',
              {},
              part.unpriced.map((x) => el('li', {}, x)),
            ),
          )
        : null,
    );
    show(told, asked(store, part.told));
    show(holes, toCut(store, part.holes));
    holesBox.hidden = !part.holes.length;
    show(tables, part.tables.map(listed));
  };
  const load = async () => {
    const known = await store.ask('estimate.states', {});
    if (known) show(states, kept(store, known, load, open, typed));
  };
  draw();
  load();
  return (/** @type {string} */ what) => {
    draw();
    if (what !== 'chosen') load();
  };
}

/**
 * @param {Store} store
 * @param {Record<string, string>} now
 */
function asked(store, now) {
  const set = (
    /** @type {import('../../wire').SetTold['key']} */ key,
    /** @type {string} */ value,
  ) => store.edit('estimate.set', { key, value });
  const rows = [];
  for (const key of /** @type {(keyof typeof CHOICES)[]} */ (Object.keys(CHOICES))) {
    const options = CHOICES[key];
    const value = now[key] === 'True' ? 'yes' : (now[key] ?? options[key === 'kind' ? 1 : 0]);
    const f = field(T.estimate.keys[key], {
      options: options.map((o) => /** @type {[string, string]} */ ([o, o])),
      value,
    });
    f.input.addEventListener('change', () => set(key, f.input.value));
    rows.push(f.row);
  }
  for (const key of [...TEXTS, ...NUMBERS]) {
    const f = field(T.estimate.keys[key], { value: now[key] ?? '' });
    f.input.addEventListener('change', () => set(key, f.input.value));
    rows.push(f.row);
  }
  return rows;
}

/**
 * Which cable holes are still to be cut, each with a box.
 *
 * @param {Store} store
 * @param {import('../../wire').EstimateShown['holes']} holes
 */
function toCut(store, holes) {
  const boxes = holes.map(([key, label, cut]) => ({ key, ...tick(label, cut, send) }));
  function send() {
    store.edit('estimate.holes', {
      keys: boxes.filter((b) => b.input.checked).map((b) => b.key),
    });
  }
  return boxes.map((b) => b.row);
}

/**
 * @param {Store} store
 * @param {import('../../wire').StatesRow} known
 * @param {() => void} again
 * @param {{ since: boolean }} open
 * @param {{ why: ReturnType<typeof field>, photo: ReturnType<typeof field> }} typed
 */
function kept(store, known, again, open, typed) {
  const { why, photo } = typed;
  const keep = async (/** @type {import('../../wire').KeepState['state']} */ state) => {
    const found = await store.ask('estimate.keep', {
      state,
      why: why.input.value,
      photo: photo.input.value,
    });
    if (!found) return;
    why.input.value = photo.input.value = '';
    again();
  };
  const first = !known.states.length;
  return el(
    'section',
    {},
    el('h3', {}, T.estimate.states),
    first ? el('p', { class: 'hint' }, T.estimate.noState) : null,
    el(
      'ol',
      {},
      known.states.map((row) => el('li', {}, row.join(', '))),
    ),
    known.facts.length ? since(known, open) : null,
    first ? null : [why.row, photo.row],
    el(
      'div',
      { class: 'buttons wrap' },
      first
        ? button(T.estimate.keepQuoted, () => keep('quoted'), { disabled: !store.fresh })
        : [
            button(T.estimate.keepChanged, () => keep('changed'), { disabled: !store.fresh }),
            button(T.estimate.keepBuilt, () => keep('as built'), { disabled: !store.fresh }),
          ],
    ),
  );
}

/**
 * @param {import('../../wire').StatesRow} known
 * @param {{ since: boolean }} open
 */
function since(known, open) {
  const box = el(
    'details',
    { open: open.since },
    el('summary', {}, T.estimate.since),
    el(
      'dl',
      { class: 'facts' },
      known.facts.map(([k, v]) => [el('dt', {}, k), el('dd', {}, v)]),
    ),
    el(
      'ul',
      {},
      known.moved.map((m) => el('li', {}, m)),
    ),
  );
  box.addEventListener('toggle', () => (open.since = box.open));
  return box;
}

/** @param {import('../../wire').Listed} t */
function listed(t) {
  return [
    el('h3', {}, t.title),
    t.note ? el('p', { class: 'hint' }, t.note) : null,
    el(
      'div',
      { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': t.title },
      el(
        'table',
        {},
        el(
          'thead',
          {},
          el(
            'tr',
            {},
            t.head.map((h) => el('th', { scope: 'col' }, h)),
          ),
        ),
        el(
          'tbody',
          {},
          t.rows.map((row) =>
            el(
              'tr',
              {},
              row.map((c) => el('td', {}, c)),
            ),
          ),
        ),
      ),
    ),
  ];
}
