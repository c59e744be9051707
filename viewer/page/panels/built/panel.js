// As built: marks made beside the boat, kept apart from the plan.

import { button, el, field, show } from '../../dom.js';
import { who } from '../../store.js';
import { Refused, sendPhoto } from '../../talk.js';
import { T } from '../../texts.js';

/** @typedef {import('../../store.js').Store} Store */

/** @param {HTMLElement} host @param {Store} store */
export function mount(host, store) {
  const panel = new Built(host, store);
  panel.load();
  return (/** @type {string} */ what) => {
    if (what === 'chosen') panel.draw();
  };
}

class Built {
  /** @param {HTMLElement} host @param {Store} store */
  constructor(host, store) {
    this.host = host;
    this.store = store;
    /** @type {import('../../wire').MarksRow} */
    this.known = { marks: [], file: '' };
    this.photo = '';
  }

  async load() {
    this.took(await this.store.ask('built.look', {}));
    this.draw();
  }

  /** @param {import('../../wire').MarksRow | null | undefined} made */
  took(made) {
    if (made) this.known = made;
    return Boolean(made);
  }

  draw() {
    const { marks, file } = this.known;
    const rows = marks.map((m) => this.markOf(m));
    show(
      this.host,
      el('p', { class: 'intro' }, T.built.intro),
      this.form(),
      rows.length ? el('ul', { class: 'marks' }, rows) : el('p', { class: 'empty' }, T.built.none),
      el('p', { class: 'hint' }, `${T.built.file} ${file}`),
    );
  }

  /** What a mark can be about. @returns {[string, string][]} */
  things() {
    const { desk, parts } = this.store;
    const named = (/** @type {string} */ kind, /** @type {{ key: string }[]} */ rows) =>
      rows.map(
        (x) =>
          /** @type {[string, string]} */ ([
            `${kind}:${x.key}`,
            this.store.label(`${kind}:${x.key}`),
          ]),
      );
    return [
      ['', T.built.boat],
      ...named('piece', desk.boat?.stands ?? []),
      ...(parts.cables?.circuits ?? []).map(
        (c) => /** @type {[string, string]} */ ([`circuit:${c.number}`, `${c.number} ${c.label}`]),
      ),
      ...named('joint', desk.joints),
      ...named('opening', desk.boat?.openings ?? []),
    ];
  }

  form() {
    const things = this.things();
    const known = things.some(([k]) => k === this.store.chosen);
    const f = {
      about: field(T.built.about, {
        name: 'about',
        options: things,
        value: known ? this.store.chosen : '',
      }),
      kind: field(T.built.kind, { name: 'kind', options: T.built.kinds.map((k) => [k, k]) }),
      words: field(T.built.words, { name: 'words' }),
      value: field(T.built.value, { name: 'value' }),
      photo: field(T.built.photo, { name: 'photo', type: 'file' }),
      by: field(T.built.by, { name: 'by', value: who.get() }),
    };
    const says = el('p', { role: 'status' }, this.photo && `${T.built.photo}: ${this.photo}`);
    f.photo.input.setAttribute('accept', 'image/*');
    f.photo.input.addEventListener('change', () => this.send(f.photo.input, says));
    const go = async (/** @type {Event} */ e) => {
      e.preventDefault();
      who.set(f.by.input.value);
      const made = await this.store.ask('built.add', {
        about: f.about.input.value,
        kind: /** @type {any} */ (f.kind.input.value),
        words: f.words.input.value,
        value: f.value.input.value,
        photo: this.photo,
        by: f.by.input.value,
      });
      if (made) this.photo = '';
      this.changed(made);
    };
    return el(
      'form',
      { class: 'fields', onsubmit: go },
      Object.values(f).map((x) => x.row),
      says,
      el('div', { class: 'buttons' }, el('button', { class: 'main' }, T.built.add)),
    );
  }

  /** @param {HTMLElement} input @param {HTMLElement} says */
  async send(input, says) {
    const file = /** @type {HTMLInputElement} */ (input).files?.[0];
    if (!file) return;
    says.textContent = T.built.sending;
    try {
      this.photo = (await sendPhoto(this.store.job, file)).name;
      says.textContent = `${T.built.photo}: ${this.photo}`;
    } catch (e) {
      if (!(e instanceof Refused)) throw e;
      says.textContent = e.message;
    }
  }

  /** @param {import('../../wire').MarksRow | null | undefined} made */
  changed(made) {
    if (!this.took(made)) return;
    this.store.look();
    this.draw();
  }

  /** @param {import('../../wire').Mark} m */
  markOf(m) {
    const { store } = this;
    const src = `/photo/${encodeURIComponent(store.job)}/${encodeURIComponent(m.photo)}`;
    const remove = async () =>
      this.changed(
        await store.ask('built.remove', { number: m.number, words: m.words, value: m.value }),
      );
    return el(
      'li',
      { class: 'mark-row' },
      el(
        'button',
        { type: 'button', class: 'row', onclick: () => m.about && store.choose(m.about) },
        el('strong', {}, m.about ? store.label(m.about) : T.built.boat),
        ` ${m.kind}. ${m.words} ${m.value}`,
      ),
      m.photo ? el('img', { src, alt: m.words || m.kind, loading: 'lazy' }) : null,
      el('span', { class: 'hint' }, [m.by, m.on].filter(Boolean).join(', ')),
      button(T.built.remove, remove, {
        'aria-label': `${T.built.remove}: ${m.words || m.kind}`,
      }),
    );
  }
}
