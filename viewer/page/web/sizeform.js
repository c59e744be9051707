// One size typed in: value, ±, how it was taken, by whom, and whether on this boat.

import { button, dialog, el, field, tick } from './dom.js';
import { who } from './store.js';
import { T } from './texts.js';

/** @typedef {import('./wire').DimensionRow} DimensionRow */

/**
 * The fields of a size, and what they say.
 * @param {import('./store.js').Store} store
 * @param {DimensionRow} d
 */
export function sizeFields(store, d) {
  const ways = store.desk.ways_of_measuring;
  const value = field(T.size.value, {
    name: 'value',
    value: String(Math.round(d.mm * 10) / 10),
    mode: 'decimal',
    hint: `${d.inches}. ${T.start.lengthHint}`,
  });
  const how = field(T.size.how, {
    name: 'how',
    value: d.how && d.how in ways ? d.how : 'tape',
    options: [
      ['', T.size.choice],
      ...Object.entries(ways).map(
        ([w, mm]) => /** @type {[string, string]} */ ([w, T.size.usual(w, mm)]),
      ),
    ],
  });
  const wide = field(T.size.plusMinus, { name: 'plus_minus', mode: 'decimal' });
  const by = field(T.size.by, { name: 'by', value: who.get() || d.by });
  const verified = tick(T.size.verified, true);
  const said = () => {
    who.set(by.input.value);
    return {
      key: d.key,
      value: value.input.value,
      plus_minus: wide.input.value,
      how: how.input.value,
      by: by.input.value,
      verified: verified.input.checked,
    };
  };
  return { rows: [value.row, how.row, wide.row, by.row, verified.row], value, said };
}

/**
 * Ask for one size.
 * @param {import('./store.js').Store} store
 * @param {DimensionRow} d
 */
export function askSize(store, d) {
  dialog(d.words, (done) => {
    const f = sizeFields(store, d);
    queueMicrotask(() => {
      f.value.input.focus();
      if (f.value.input instanceof HTMLInputElement) f.value.input.select();
    });
    return [
      el(
        'form',
        {
          onsubmit: async (/** @type {Event} */ e) => {
            e.preventDefault();
            if (await store.edit('measure.set', f.said())) done();
          },
        },
        f.rows,
        el(
          'div',
          { class: 'buttons' },
          el('button', { class: 'main' }, T.size.save),
          button(T.size.cancel, done),
        ),
      ),
    ];
  });
}

/** @param {DimensionRow} d */
export function sizeWords(d) {
  const wide = d.plus_minus_mm ? ` ±${Math.round(d.plus_minus_mm * 10) / 10}` : '';
  return `${Math.round(d.mm * 10) / 10}${wide} mm`;
}

/** @param {DimensionRow} d */
export function takenWords(d) {
  const how = d.how ? `${d.how}, ` : '';
  return how + (d.verified ? T.size.verifiedBy(d.by, d.on) : T.size.notVerified);
}
