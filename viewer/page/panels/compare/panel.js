// This job beside another of the folder: only what differs.

import { button, el, field, show } from '../../dom.js';
import { ask, Refused } from '../../talk.js';
import { T } from '../../texts.js';

/**
 * @param {HTMLElement} host
 * @param {import('../../store.js').Store} store
 */
export function mount(host, store) {
  const top = el('div', {});
  const out = el('div', { role: 'status' });
  host.append(el('p', { class: 'intro' }, T.compare.intro), top, out);
  const load = async () => {
    try {
      const folder = await ask('start.look', {});
      const jobs = folder.jobs.filter((j) => j.file !== store.job);
      if (!jobs.length) {
        show(top, el('p', { class: 'empty' }, T.compare.none));
        return;
      }
      const other = field(T.compare.with, {
        options: jobs.map((j) => [j.file, `${j.name} (${j.boat})`]),
      });
      show(
        top,
        other.row,
        button(T.compare.go, () => go(other.input.value), { class: 'main' }),
      );
    } catch (e) {
      if (!(e instanceof Refused)) throw e;
      store.refused(e);
    }
  };
  const go = async (/** @type {string} */ file) => {
    out.textContent = T.compare.working;
    const found = await store.ask('compare.with', { other: file });
    out.textContent = '';
    if (!found) return;
    show(
      out,
      found.groups.length
        ? found.groups.map(([title, rows]) => [
            el('h3', {}, title),
            el(
              'div',
              { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': title },
              el(
                'table',
                {},
                el(
                  'thead',
                  {},
                  el(
                    'tr',
                    {},
                    [T.compare.what, found.here, found.there].map((h) =>
                      el('th', { scope: 'col' }, h),
                    ),
                  ),
                ),
                el(
                  'tbody',
                  {},
                  rows.map((r) =>
                    el(
                      'tr',
                      {},
                      el('th', { scope: 'row' }, `${r.about}: ${r.what}`),
                      el('td', {}, r.here),
                      el('td', {}, r.there),
                    ),
                  ),
                ),
              ),
            ),
          ])
        : el('p', {}, T.compare.same),
    );
  };
  load();
  return () => {};
}
