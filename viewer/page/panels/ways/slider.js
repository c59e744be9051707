// One size that decides: measured again, tried at other values, and where the answer changes.

import { button, el } from '../../dom.js';
import { askSize } from '../../sizeform.js';
import { T } from '../../texts.js';

/** @typedef {import('../../wire').DecidesRow} DecidesRow */

const REACH = 0.2; // of the size, either way
const LEAST_MM = 20;
const WAIT_MS = 350;

/**
 * @param {import('../../store.js').Store} store
 * @param {import('../../stage.js').Stage} stage
 * @param {import('../../wire').WayRow} row
 * @param {DecidesRow} d
 */
export function sliderFor(store, stage, row, d) {
  const reach = Math.max(LEAST_MM, Math.round(d.value_mm * REACH));
  const words = el('p', { class: 'tried', role: 'status' });
  const range = el('input', {
    type: 'range',
    min: Math.max(0, Math.round(d.value_mm - reach)),
    max: Math.round(d.value_mm + reach),
    step: 1,
    value: String(Math.round(d.value_mm)),
    'aria-label': `${T.ways.slide}: ${d.words}`,
    'data-key': `slide:${d.key}`,
  });
  let timer = 0;
  let asked = 0;
  range.addEventListener('input', () => {
    words.textContent = `${range.value} mm`;
    clearTimeout(timer);
    timer = window.setTimeout(async () => {
      asked += 1;
      const mine = asked;
      words.textContent = `${range.value} mm. ${T.ways.trying}`;
      const told = await store.ask('ways.at', {
        key: row.key,
        size: d.key,
        mm: Number(range.value),
      });
      if (mine === asked) words.textContent = told?.words ?? '';
    }, WAIT_MS);
  });
  const flip = async () => {
    words.textContent = T.ways.trying;
    const told = await store.ask('ways.flip', { key: row.key, size: d.key });
    words.textContent = told?.words ?? '';
  };
  const whose = dimensionOf(store, d.key);
  return el(
    'li',
    {},
    el(
      'span',
      {},
      el('strong', {}, d.words),
      ` ${Math.round(d.value_mm)} ±${Math.round(d.plus_minus_mm * 10) / 10} mm, ${Math.round(d.share * 100)} %`,
    ),
    el(
      'div',
      { class: 'buttons wrap' },
      whose
        ? button(
            T.ways.jump,
            () => {
              stage.flyTo(whose.whose);
              askSize(store, whose);
            },
            { 'aria-label': `${T.ways.jump}: ${d.words}` },
          )
        : null,
      button(T.ways.flip, flip, {
        'aria-label': `${T.ways.flip} ${d.words}`,
        disabled: !store.piecesFresh,
      }),
    ),
    range,
    words,
  );
}

/** The dimension that a size makes up, where it is one. @param {import('../../store.js').Store} store @param {string} key */
function dimensionOf(store, key) {
  const size = store.desk.sizes.find((s) => s.key === key || s.key === `sizes.${key}`);
  return store.desk.dimensions.find((x) => x.size_key === key) ?? (size ? null : null);
}
