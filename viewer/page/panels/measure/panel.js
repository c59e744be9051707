// The boat as it is measured: places, sizes in the order they matter, parts added and taken out.

import { button, dialog, el, field, show, tick } from '../../dom.js';
import { askSize, sizeFields, sizeWords, takenWords } from '../../sizeform.js';
import { T } from '../../texts.js';
import { askPart } from './adding.js';

/** @typedef {import('../../store.js').Store} Store */
/** @typedef {import('../../wire').DimensionRow} DimensionRow */

const GROUPS = /** @type {Record<string, string>} */ ({
  space: 'spaces',
  opening: 'openings',
  solid: 'solids',
  hazard: 'hazards',
  joint: 'holes',
});

/** @param {Store} store */
export function badge(store) {
  const n = store.desk.dimensions.filter((d) => !d.verified).length;
  return n ? String(n) : '';
}

/**
 * @param {HTMLElement} host
 * @param {Store} store
 */
export function mount(host, store) {
  const view = { only: false };
  const draw = () => {
    const rows = here(store).filter((d) => !view.only || !d.verified);
    const open = here(store).filter((d) => !d.verified).length;
    show(
      host,
      el('p', { class: 'intro' }, T.measure.intro),
      chosenThing(store),
      el('h2', {}, T.measure.sizes),
      el(
        'div',
        { class: 'line' },
        el(
          'span',
          { class: 'badge-words' },
          open ? T.measure.unverified(open) : T.measure.allVerified,
        ),
        tick(T.measure.only, view.only, (on) => {
          view.only = on;
          draw();
        }).row,
        button(T.measure.walk, () => walk(store, rows), {
          class: 'main',
          title: T.measure.walkHint,
          disabled: !rows.length,
        }),
      ),
      rows.length
        ? el(
            'ul',
            { class: 'sizes' },
            rows.map((d) => sizeRow(store, d)),
          )
        : el('p', { class: 'empty' }, T.measure.noSizes),
      el('h2', {}, T.measure.add),
      el(
        'div',
        { class: 'buttons wrap' },
        Object.entries(T.measure.kinds).map(([kind, words]) =>
          button(words, () => askPart(store, /** @type {any} */ (kind))),
        ),
      ),
    );
  };
  draw();
  return (/** @type {string} */ what) => {
    if (['desk', 'chosen', 'space'].includes(what)) draw();
  };
}

/** The sizes of what is looked at, those that matter most first. @param {Store} store */
function here(store) {
  const { space, chosen, desk } = store;
  const inside = new Set(space ? [`space:${space}`, chosen] : []);
  for (const o of desk.boat?.openings ?? []) if (o.inner === space) inside.add(`opening:${o.key}`);
  for (const s of desk.boat?.solids ?? []) if (s.space === space) inside.add(`solid:${s.key}`);
  for (const h of desk.boat?.hazards ?? []) if (h.space === space) inside.add(`hazard:${h.key}`);
  for (const j of desk.joints) if (j.spaces[0] === space) inside.add(`joint:${j.key}`);
  return desk.dimensions
    .filter((d) => !space || inside.has(d.whose))
    .sort((a, b) => a.rank - b.rank);
}

/** @param {Store} store @param {DimensionRow} d */
function sizeRow(store, d) {
  return el(
    'li',
    { class: d.verified ? '' : 'unverified' },
    el(
      'button',
      { type: 'button', class: 'size', 'data-key': d.key, onclick: () => askSize(store, d) },
      el('span', { class: 'size-words' }, d.words),
      el('span', { class: 'size-figure' }, sizeWords(d)),
      el('span', { class: 'size-inches' }, d.inches),
      el('span', { class: 'size-taken' }, takenWords(d)),
    ),
  );
}

/** What is chosen on the picture: its name, and a way to take it out. @param {Store} store */
function chosenThing(store) {
  const [kind, name] = store.chosen.split(':');
  if (!(kind in GROUPS)) return null;
  let group = GROUPS[kind];
  if (kind === 'joint') {
    const joint = store.desk.joints.find((j) => j.key === name);
    group = joint ? `${joint.kind}s` : group;
  }
  const tables = /** @type {any} */ (store.desk.hull_tables)[group];
  if (!tables?.[name]) return null;
  const label = field(T.measure.rename, {
    value: store.label(store.chosen),
    change: (value) =>
      store.edit('desk.set', {
        file: 'hull',
        path: [group, name, 'label'],
        value,
        words: `${value}: renamed`,
      }),
  });
  const site =
    group === 'spaces'
      ? field(T.measure.site, {
          value: tables[name].site ?? 'locker',
          options: Object.entries(T.sites),
          change: (value) =>
            store.edit('desk.set', {
              file: 'hull',
              path: [group, name, 'site'],
              value,
              words: `${store.label(store.chosen)}: ${value}`,
            }),
        }).row
      : null;
  return el(
    'div',
    { class: 'chosen-box' },
    el('h2', {}, store.label(store.chosen)),
    label.row,
    site,
    button(T.measure.remove, () => takeOut(store, 'hull', [group, name])),
  );
}

/**
 * Take a table out; where something needs it, ask first.
 * @param {Store} store
 * @param {'hull' | 'job'} file
 * @param {string[]} path
 */
export async function takeOut(store, file, path) {
  const { ask, Refused } = await import('../../talk.js');
  const seen = store.desk.revision;
  try {
    await store.done(
      Promise.resolve(await ask('desk.remove', { file, path, seen }, store.job)),
      true,
    );
    store.choose('');
  } catch (e) {
    if (!(e instanceof Refused)) throw e;
    dialog(T.measure.remove, (done) => [
      el('p', {}, T.measure.removeSure),
      el(
        'ul',
        {},
        e.words.map((w) => el('li', {}, w)),
      ),
      el(
        'div',
        { class: 'buttons' },
        button(T.measure.removeWith, async () => {
          done();
          if (await store.edit('desk.remove', { file, path, with_users: true })) store.choose('');
        }),
        button(T.size.cancel, done),
      ),
    ]);
  }
}

/** One size after the other, with one hand. @param {Store} store @param {DimensionRow[]} rows */
function walk(store, rows) {
  const keys = rows.map((d) => d.key);
  let k = 0;
  dialog(T.measure.walk, (done) => {
    const box = el('div', { class: 'walk' });
    const next = () => {
      k += 1;
      draw();
    };
    const draw = () => {
      const d = store.desk.dimensions.find((x) => x.key === keys[k]);
      if (k >= keys.length || !d) {
        show(box, el('p', {}, T.measure.walked), button(T.measure.finish, done, { class: 'main' }));
        return;
      }
      const f = sizeFields(store, d);
      const save = async (/** @type {Event} */ e) => {
        e.preventDefault();
        if (await store.edit('measure.set', f.said())) next();
      };
      show(
        box,
        el('p', { class: 'count' }, T.measure.of(k + 1, keys.length)),
        el('h3', {}, d.words),
        el(
          'form',
          { onsubmit: save },
          f.rows,
          el(
            'div',
            { class: 'buttons big' },
            el('button', { class: 'main' }, T.measure.nextSize),
            button(T.measure.skip, next),
            button(T.measure.finish, done),
          ),
        ),
      );
      f.value.input.focus();
      if (f.value.input instanceof HTMLInputElement) f.value.input.select();
    };
    queueMicrotask(draw);
    return [box];
  });
}
