// Everything that wants mending, the must first; each flies to its place and tells what mends it.

import { button, el, field, show } from '../../dom.js';
import { T } from '../../texts.js';

/** @typedef {import('../../store.js').Store} Store */
/** @typedef {import('../../wire').FoundRow} FoundRow */

/** @param {Store} store */
export function badge(store) {
  const n = (store.parts.findings?.rows ?? []).filter((r) => r.urgency !== 'note').length;
  return n ? String(n) : '';
}

/**
 * @param {HTMLElement} host
 * @param {Store} store
 * @param {import('../../stage.js').Stage} stage
 */
export function mount(host, store, stage) {
  const view = { id: '', urgency: '' };
  /** @type {Map<string, { mends: import('../../wire').MendRow[], next: number, of: number }>} */
  const tried = new Map();
  let revision = store.answered;
  const draw = () => {
    if (revision !== store.answered) tried.clear();
    revision = store.answered;
    const all = store.parts.findings?.rows ?? [];
    const rows = all.filter((r) => !view.urgency || r.urgency === view.urgency);
    const filter = field(T.findings.filter, {
      options: [
        ['', `${T.findings.all} (${all.length})`],
        ...Object.entries(T.findings.urgency).map(
          ([u, w]) =>
            /** @type {[string, string]} */ ([
              u,
              `${w} (${all.filter((r) => r.urgency === u).length})`,
            ]),
        ),
      ],
      value: view.urgency,
      change: (v) => {
        view.urgency = v;
        draw();
      },
    });
    show(
      host,
      el('p', { class: 'intro' }, T.findings.intro),
      filter.row,
      rows.length
        ? el(
            'ul',
            { class: 'findings' },
            rows.map((r) => rowOf(r)),
          )
        : el('p', { class: 'empty' }, store.answered ? T.findings.none : T.desk.none),
    );
  };
  const rowOf = (/** @type {FoundRow} */ r) => {
    const open = r.id === view.id;
    const words = T.findings.urgency[/** @type {'must'} */ (r.urgency)];
    return el(
      'li',
      { class: `finding ${r.urgency} ${open ? 'open' : ''}` },
      el(
        'button',
        {
          type: 'button',
          class: 'row',
          'aria-expanded': String(open),
          'data-key': r.id,
          onclick: () => choose(r),
        },
        el('span', { class: `urgency ${r.urgency}` }, words),
        el('span', {}, el('strong', {}, r.about), `: ${r.found}`),
      ),
      open ? detail(r) : null,
    );
  };
  const choose = (/** @type {FoundRow} */ r) => {
    view.id = view.id === r.id ? '' : r.id;
    if (view.id && r.about_keys[0]) stage.flyTo(r.about_keys[0]);
    draw();
  };
  const detail = (/** @type {FoundRow} */ r) => {
    const facts = [
      [T.findings.asks, r.asks],
      [T.findings.mend, r.remedy],
      [T.findings.rule, r.rule],
      [T.findings.source, r.source],
    ];
    return el(
      'div',
      { class: 'finding-detail' },
      el(
        'dl',
        { class: 'facts' },
        facts.filter(([, v]) => v).map(([k, v]) => [el('dt', {}, k), el('dd', {}, v)]),
      ),
      mends(r),
    );
  };
  const mends = (/** @type {FoundRow} */ r) => {
    if (!r.tries) return null;
    const known = tried.get(r.id) ?? { mends: [], next: 0, of: r.tries };
    const says = el('span', { role: 'status' });
    // the smallest change first, one after the other, until one holds
    const go = async () => {
      for (let found = false; !found && known.next < known.of; known.next += 1) {
        says.textContent = `${T.findings.trying} ${known.next + 1}/${known.of}`;
        const told = await store.ask('findings.tried', { id: r.id, number: known.next });
        if (!told) break;
        known.of = told.many;
        if (told.mend) known.mends.push(told.mend);
        found = Boolean(told.mend?.holds);
      }
      says.textContent = '';
      tried.set(r.id, known);
      draw();
    };
    const left = known.of - known.next;
    return [
      known.mends.length
        ? el(
            'ul',
            { class: 'mends' },
            known.mends.map((m) => mendOf(r, m)),
          )
        : null,
      left > 0
        ? el(
            'p',
            {},
            button(`${known.next ? T.findings.others : T.findings.try} (${left})`, go, {
              disabled: !store.fresh,
            }),
            ' ',
            says,
          )
        : known.mends.some((m) => m.holds)
          ? null
          : el('p', {}, T.findings.nothing),
    ];
  };
  const mendOf = (/** @type {FoundRow} */ r, /** @type {import('../../wire').MendRow} */ m) =>
    el(
      'li',
      {},
      el('strong', {}, m.words),
      el(
        'span',
        { class: m.holds ? 'good' : 'hint' },
        ` ${m.holds ? T.findings.holds : T.findings.not}`,
      ),
      m.holds
        ? el(
            'details',
            {},
            el('summary', {}, `${T.findings.also} (${m.changes.length})`),
            el(
              'ul',
              {},
              m.changes.map((c) => el('li', {}, c)),
            ),
          )
        : null,
      m.holds
        ? button(T.findings.do, () => store.edit('findings.mend', { id: r.id, mend: m.words }), {
            class: 'main',
            'aria-label': `${T.findings.do}: ${m.words}`,
          })
        : null,
    );
  draw();
  return (/** @type {string} */ what) => {
    if (['answer', 'desk'].includes(what)) draw();
  };
}
