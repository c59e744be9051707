// Circuits as a table, as a single-line diagram, and what is cut and paid for them.

import { button, dialog, el, field, show, tick } from '../../dom.js';
import { T } from '../../texts.js';
import { diagram } from './diagram.js';
import { circuitDetail } from './circuit.js';

/** @typedef {import('../../store.js').Store} Store */
/** @typedef {import('../../stage.js').Stage} Stage */

/** @param {Store} store */
export function badge(store) {
  const n = store.parts.cables?.circuits.length ?? 0;
  return n ? String(n) : '';
}

/** @type {'table' | 'diagram' | 'cuts'} which way they are shown, kept while the page is open */
let look = 'table';

/**
 * @param {HTMLElement} host
 * @param {Store} store
 * @param {Stage} stage
 */
export function mount(host, store, stage) {
  let shown = '';
  const top = el('div', {});
  const detail = el('div', { class: 'detail' });
  const list = el('div', {});
  host.append(top, detail, list);
  const draw = () => {
    const part = store.parts.cables;
    const looks = /** @type {const} */ (['table', 'diagram', 'cuts']);
    show(
      top,
      el('p', { class: 'intro' }, T.cables.intro),
      el(
        'div',
        { class: 'buttons wrap' },
        looks.map((l) =>
          button(
            T.cables[l],
            () => {
              look = l;
              draw();
            },
            { 'aria-pressed': String(l === look) },
          ),
        ),
        button(T.cables.add, () => askCircuit(store)),
      ),
    );
    const number = store.chosen.startsWith('circuit:') ? store.chosen.slice(8) : '';
    const row = part?.circuits.find((c) => c.number === number);
    show(detail, row ? circuitDetail(store, stage, row) : null);
    if (row && number !== shown) detail.scrollIntoView({ block: 'start' });
    shown = number;
    if (!part?.circuits.length) show(list, el('p', { class: 'empty' }, T.cables.none));
    else if (look === 'table') show(list, table(store, part));
    else if (look === 'diagram') show(list, diagram(store, part.diagram));
    else show(list, cuts(part));
  };
  draw();
  return (/** @type {string} */ what) => {
    if (['answer', 'chosen', 'desk'].includes(what)) draw();
  };
}

/** @param {Store} store @param {import('../../wire').CablesRow} part */
function table(store, part) {
  return el(
    'div',
    { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': T.cables.table },
    el(
      'table',
      {},
      el(
        'thead',
        {},
        el(
          'tr',
          {},
          T.cables.heads.map((h) => el('th', { scope: 'col' }, h)),
        ),
      ),
      el(
        'tbody',
        {},
        part.circuits.map((c) =>
          el(
            'tr',
            {
              class: `${c.good ? '' : 'look'} ${store.chosen === `circuit:${c.number}` ? 'chosen' : ''}`,
            },
            el('td', {}, c.number),
            el(
              'td',
              {},
              button(c.label, () => store.choose(`circuit:${c.number}`), {
                class: 'plain',
                'data-key': `c:${c.number}`,
              }),
            ),
            [c.mains || c.signal ? '-' : String(c.amps), c.out, c.size, c.percent, c.fuse].map(
              (x) => el('td', {}, x),
            ),
          ),
        ),
      ),
    ),
  );
}

/** @param {import('../../wire').CablesRow} part */
function cuts(part) {
  return [
    el('h3', {}, T.cables.buy),
    el(
      'ul',
      { class: 'cuts' },
      part.cuts.map((c) =>
        el(
          'li',
          {},
          el('strong', {}, c.cable),
          ` ${c.words}, ${c.price}`,
          el('div', { class: 'hint' }, c.pieces.join('; ')),
        ),
      ),
    ),
    el('h3', {}, `${T.cables.costs}: ${part.cost}`),
    el(
      'div',
      { class: 'scroll' },
      el(
        'table',
        {},
        el(
          'tbody',
          {},
          part.costs.map((row) =>
            el(
              'tr',
              {},
              row.map((x) => el('td', {}, x)),
            ),
          ),
        ),
      ),
    ),
  ];
}

/** @param {Store} store */
function askCircuit(store) {
  const ends = store.desk.terminals.map(
    (t) => /** @type {[string, string]} */ ([t.key, nameOf(store, t.key)]),
  );
  const told = { label: '', feed: '', load: '', amps: '', link: false };
  const ask = () =>
    dialog(T.cables.add, (done) => {
      const label = field(T.cables.label, { name: 'label', value: told.label, required: true });
      const choices = /** @type {[string, string][]} */ ([['', T.cables.choose], ...ends]);
      const feed = field(T.cables.feed, { name: 'feed', options: choices, value: told.feed });
      const load = field(T.cables.load, { name: 'load', options: choices, value: told.load });
      feed.input.required = true;
      load.input.required = true;
      const amps = field(T.cables.amps, {
        name: 'amps',
        value: told.amps,
        mode: 'decimal',
        required: true,
      });
      const link = tick(T.cables.link, told.link);
      const keep = () =>
        Object.assign(told, {
          label: label.input.value,
          feed: feed.input.value,
          load: load.input.value,
          amps: amps.input.value,
          link: link.input.checked,
        });
      const pick = (/** @type {'feed' | 'load'} */ end) => () => {
        keep();
        done();
        store.pick(T.cables[end], (key) => {
          const piece = key.replace(/^piece:/, '').split('/')[0];
          const found = ends.find(([t]) => t.startsWith(`${piece}.`));
          if (found) told[end] = found[0];
          ask();
        });
      };
      const go = async (/** @type {Event} */ e) => {
        e.preventDefault();
        keep();
        const { label: name, feed: from, load: to, link: one } = told;
        if (
          await store.edit('cables.add', {
            label: name,
            feed: from,
            load: to,
            amps: Number.parseFloat(told.amps.replace(',', '.')) || 0,
            link: one,
          })
        )
          done();
      };
      return [
        el(
          'form',
          { onsubmit: go },
          label.row,
          feed.row,
          button(T.cables.pickFeed, pick('feed')),
          load.row,
          button(T.cables.pickLoad, pick('load')),
          amps.row,
          link.row,
          el(
            'div',
            { class: 'buttons' },
            el('button', { class: 'main' }, T.add.go),
            button(T.size.cancel, done),
          ),
        ),
      ];
    });
  ask();
}

/** A terminal as people call it. @param {Store} store @param {string} key */
export function nameOf(store, key) {
  const parts = key.split('.');
  const end = parts.pop() ?? '';
  return `${store.label(`piece:${parts.join('.')}`)}${parts.length > 1 ? `, ${store.label(`piece:${parts[0]}`)}` : ''}: ${end.replaceAll('_', ' ')}`;
}
