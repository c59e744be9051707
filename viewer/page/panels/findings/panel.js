// Everything that wants mending, the must first; each flies to its place and tells what mends it.

import { button, el, field, show } from '../../dom.js';
import { T } from '../../texts.js';

/** @typedef {import('../../store.js').Store} Store */
/** @typedef {import('../../stage.js').Stage} Stage */
/** @typedef {import('../../wire').FoundRow} FoundRow */
/** @typedef {import('../../wire').MendRow} MendRow */

/** @param {Store} store */
export function badge(store) {
  const n = (store.parts.findings?.rows ?? []).filter((r) => r.urgency !== 'note').length;
  return n ? String(n) : '';
}

/** @param {HTMLElement} host @param {Store} store @param {Stage} stage */
export function mount(host, store, stage) {
  const panel = new Findings(host, store, stage);
  panel.draw();
  return (/** @type {string} */ what) => {
    if (['answer', 'desk'].includes(what)) panel.draw();
  };
}

class Findings {
  /** @param {HTMLElement} host @param {Store} store @param {Stage} stage */
  constructor(host, store, stage) {
    this.host = host;
    this.store = store;
    this.stage = stage;
    this.id = '';
    this.urgency = '';
    /** @type {Map<string, { mends: MendRow[], next: number, of: number }>} */
    this.tried = new Map();
    this.revision = store.answered;
  }

  draw() {
    const { store } = this;
    if (this.revision !== store.answered) this.tried.clear();
    this.revision = store.answered;
    const all = store.parts.findings?.rows ?? [];
    const rows = all.filter((r) => !this.urgency || r.urgency === this.urgency);
    const list = rows.map((r) => this.rowOf(r));
    show(
      this.host,
      el('p', { class: 'intro' }, T.findings.intro),
      this.filter(all),
      rows.length
        ? el('ul', { class: 'findings' }, list)
        : el('p', { class: 'empty' }, store.answered ? T.findings.none : T.desk.none),
    );
  }

  /** @param {FoundRow[]} all */
  filter(all) {
    const many = (/** @type {string} */ u) => all.filter((r) => r.urgency === u).length;
    /** @type {[string, string][]} */
    const options = Object.entries(T.findings.urgency).map(([u, w]) => [u, `${w} (${many(u)})`]);
    return field(T.findings.filter, {
      options: [['', `${T.findings.all} (${all.length})`], ...options],
      value: this.urgency,
      change: (v) => {
        this.urgency = v;
        this.draw();
      },
    }).row;
  }

  /** @param {FoundRow} r */
  rowOf(r) {
    const open = r.id === this.id;
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
          onclick: () => this.choose(r),
        },
        el('span', { class: `urgency ${r.urgency}` }, words),
        el('span', {}, el('strong', {}, r.about), `: ${r.found}`),
      ),
      open ? el('div', { class: 'finding-detail' }, factsOf(r), this.mends(r)) : null,
    );
  }

  /** @param {FoundRow} r */
  choose(r) {
    this.id = this.id === r.id ? '' : r.id;
    if (this.id && r.about_keys[0]) this.stage.flyTo(r.about_keys[0]);
    this.draw();
  }

  /** @param {FoundRow} r */
  mends(r) {
    if (!r.tries) return null;
    const known = this.tried.get(r.id) ?? { mends: [], next: 0, of: r.tries };
    const says = el('span', { role: 'status' });
    const left = known.of - known.next;
    const more = () =>
      button(
        `${known.next ? T.findings.others : T.findings.try} (${left})`,
        () => this.tryMends(r, known, says),
        { disabled: !this.store.fresh },
      );
    const held = known.mends.some((m) => m.holds);
    const rows = known.mends.map((m) => this.mendOf(r, m));
    return [
      rows.length ? el('ul', { class: 'mends' }, rows) : null,
      left > 0 ? el('p', {}, more(), ' ', says) : held ? null : el('p', {}, T.findings.nothing),
    ];
  }

  /** The smallest change first, one after the other, until one holds.
   * @param {FoundRow} r @param {{ mends: MendRow[], next: number, of: number }} known
   * @param {HTMLElement} says */
  async tryMends(r, known, says) {
    for (let found = false; !found && known.next < known.of; known.next += 1) {
      says.textContent = `${T.findings.trying} ${known.next + 1}/${known.of}`;
      const told = await this.store.ask('findings.tried', { id: r.id, number: known.next });
      if (!told) break;
      known.of = told.many;
      if (told.mend) known.mends.push(told.mend);
      found = Boolean(told.mend?.holds);
    }
    says.textContent = '';
    this.tried.set(r.id, known);
    this.draw();
  }

  /** @param {FoundRow} r @param {MendRow} m */
  mendOf(r, m) {
    const held = m.holds ? T.findings.holds : T.findings.not;
    const changes = m.changes.map((c) => el('li', {}, c));
    return el(
      'li',
      {},
      el('strong', {}, m.words),
      el('span', { class: m.holds ? 'good' : 'hint' }, ` ${held}`),
      m.holds
        ? el(
            'details',
            {},
            el('summary', {}, `${T.findings.also} (${m.changes.length})`),
            el('ul', {}, changes),
          )
        : null,
      m.holds ? this.doIt(r, m) : null,
    );
  }

  /** @param {FoundRow} r @param {MendRow} m */
  doIt(r, m) {
    const go = () => this.store.edit('findings.mend', { id: r.id, mend: m.words });
    const name = `${T.findings.do}: ${m.words}`;
    return button(T.findings.do, go, { class: 'main', 'aria-label': name });
  }
}

/** @param {FoundRow} r */
function factsOf(r) {
  const facts = [
    [T.findings.asks, r.asks],
    [T.findings.mend, r.remedy],
    [T.findings.rule, r.rule],
    [T.findings.source, r.source],
  ];
  return el(
    'dl',
    { class: 'facts' },
    facts.filter(([, v]) => v).map(([k, v]) => [el('dt', {}, k), el('dd', {}, v)]),
  );
}
