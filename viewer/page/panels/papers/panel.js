// The paper sets: made with progress, opened from here.

import { button, el, show } from '../../dom.js';
import { T } from '../../texts.js';

/**
 * @param {HTMLElement} host
 * @param {import('../../store.js').Store} store
 */
export function mount(host, store) {
  /** @type {import('../../wire').SetRow[]} */
  let sets = [];
  let making = '';
  let words = '';
  const load = async () => {
    const known = await store.ask('papers.look', {});
    if (known) sets = known.sets;
    draw();
  };
  const make = async (/** @type {string} */ key) => {
    making = key;
    words = '';
    draw();
    const made = await store.ask('papers.make', { key });
    making = '';
    if (made) sets = made.sets;
    draw();
  };
  const draw = () => {
    show(
      host,
      el('p', { class: 'intro' }, T.papers.intro),
      store.fresh ? null : el('p', { class: 'hint' }, T.papers.wait),
      el(
        'ul',
        { class: 'cards' },
        sets.map((s) =>
          el(
            'li',
            { class: 'card' },
            el('strong', {}, s.title),
            el('span', {}, s.what_for),
            making === s.key
              ? el('p', { role: 'status', class: 'making' }, `${T.papers.making} ${words}`)
              : null,
            button(s.made ? T.papers.again : T.papers.make, () => make(s.key), {
              class: 'main',
              disabled: Boolean(making) || (!store.fresh && s.key !== 'measuring'),
              'aria-label': `${s.made ? T.papers.again : T.papers.make}: ${s.title}`,
            }),
            s.made ? el('span', { class: 'hint' }, `${T.papers.made} ${s.made}`) : null,
            el(
              'ul',
              { class: 'files' },
              s.files.map((f) =>
                el('li', {}, el('a', { href: f.href, target: '_blank', rel: 'noopener' }, f.name)),
              ),
            ),
          ),
        ),
      ),
    );
  };
  load();
  return (/** @type {string} */ what) => {
    if (what.startsWith('paper:')) {
      words = what.split(':').slice(2).join(':');
      draw();
    }
    if (['answer', 'desk'].includes(what)) draw();
  };
}
