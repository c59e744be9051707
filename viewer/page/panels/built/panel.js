// As built: marks made beside the boat, kept apart from the plan.

import { button, el, field, show } from '../../dom.js';
import { who } from '../../store.js';
import { Refused, sendPhoto } from '../../talk.js';
import { T } from '../../texts.js';

/**
 * @param {HTMLElement} host
 * @param {import('../../store.js').Store} store
 */
export function mount(host, store) {
  /** @type {import('../../wire').MarksRow} */
  let known = { marks: [], file: '' };
  let photo = '';
  const load = async () => {
    const found = await store.ask('built.look', {});
    if (found) known = found;
    draw();
  };
  const things = () =>
    /** @type {[string, string][]} */ ([
      ['', T.built.boat],
      ...(store.desk.boat?.stands ?? []).map((s) => [
        `piece:${s.key}`,
        store.label(`piece:${s.key}`),
      ]),
      ...(store.parts.cables?.circuits ?? []).map((c) => [
        `circuit:${c.number}`,
        `${c.number} ${c.label}`,
      ]),
      ...store.desk.joints.map((j) => [`joint:${j.key}`, store.label(`joint:${j.key}`)]),
      ...(store.desk.boat?.openings ?? []).map((o) => [
        `opening:${o.key}`,
        store.label(`opening:${o.key}`),
      ]),
    ]);
  const draw = () => {
    const about = field(T.built.about, {
      name: 'about',
      options: things(),
      value: things().some(([k]) => k === store.chosen) ? store.chosen : '',
    });
    const kind = field(T.built.kind, { name: 'kind', options: T.built.kinds.map((k) => [k, k]) });
    const words = field(T.built.words, { name: 'words' });
    const value = field(T.built.value, { name: 'value' });
    const by = field(T.built.by, { name: 'by', value: who.get() });
    const picture = field(T.built.photo, { name: 'photo', type: 'file' });
    picture.input.setAttribute('accept', 'image/*');
    const says = el('p', { role: 'status' }, photo ? `${T.built.photo}: ${photo}` : '');
    picture.input.addEventListener('change', async () => {
      const file = /** @type {HTMLInputElement} */ (picture.input).files?.[0];
      if (!file) return;
      says.textContent = T.built.sending;
      try {
        photo = (await sendPhoto(store.job, file)).name;
        says.textContent = `${T.built.photo}: ${photo}`;
      } catch (e) {
        if (!(e instanceof Refused)) throw e;
        says.textContent = e.message;
      }
    });
    const go = async (/** @type {Event} */ e) => {
      e.preventDefault();
      who.set(by.input.value);
      const made = await store.ask('built.add', {
        about: about.input.value,
        kind: /** @type {any} */ (kind.input.value),
        words: words.input.value,
        value: value.input.value,
        photo,
        by: by.input.value,
      });
      if (made) {
        known = made;
        photo = '';
        store.look();
        draw();
      }
    };
    show(
      host,
      el('p', { class: 'intro' }, T.built.intro),
      el(
        'form',
        { class: 'fields', onsubmit: go },
        about.row,
        kind.row,
        words.row,
        value.row,
        picture.row,
        by.row,
        says,
        el('div', { class: 'buttons' }, el('button', { class: 'main' }, T.built.add)),
      ),
      known.marks.length
        ? el(
            'ul',
            { class: 'marks' },
            known.marks.map((m) => markOf(m)),
          )
        : el('p', { class: 'empty' }, T.built.none),
      el('p', { class: 'hint' }, `${T.built.file} ${known.file}`),
    );
  };
  const markOf = (/** @type {import('../../wire').Mark} */ m) =>
    el(
      'li',
      { class: 'mark-row' },
      el(
        'button',
        { type: 'button', class: 'row', onclick: () => m.about && store.choose(m.about) },
        el('strong', {}, m.about ? store.label(m.about) : T.built.boat),
        ` ${m.kind}. ${m.words} ${m.value}`,
      ),
      m.photo
        ? el('img', {
            src: `/photo/${encodeURIComponent(store.job)}/${encodeURIComponent(m.photo)}`,
            alt: m.words || m.kind,
            loading: 'lazy',
          })
        : null,
      el('span', { class: 'hint' }, [m.by, m.on].filter(Boolean).join(', ')),
      button(
        T.built.remove,
        async () => {
          const made = await store.ask('built.remove', {
            number: m.number,
            words: m.words,
            value: m.value,
          });
          if (made) {
            known = made;
            store.look();
            draw();
          }
        },
        { 'aria-label': `${T.built.remove}: ${m.words || m.kind}` },
      ),
    );
  load();
  return (/** @type {string} */ what) => {
    if (what === 'chosen') draw();
  };
}
