// One circuit: its length in parts, its size and fuse with the reason, and other ways for it.

import { button, el, field, show, tick } from '../../dom.js';
import { T } from '../../texts.js';
import { takeOut } from '../measure/panel.js';

/** @typedef {import('../../store.js').Store} Store */
/** @typedef {import('../../stage.js').Stage} Stage */
/** @typedef {import('../../wire').CableRow} CableRow */

/** @param {Store} store @param {Stage} stage @param {CableRow} c */
export function circuitDetail(store, stage, c) {
  const whole = c.parts.reduce((sum, p) => sum + p.mm, 0);
  return [
    el('h2', {}, `${c.number} ${c.label}`),
    el('p', {}, `${c.feed_words} → ${c.load_words}`),
    c.parts.length
      ? el(
          'div',
          {},
          el('h3', {}, T.cables.parts),
          el(
            'div',
            { class: 'parts', 'aria-hidden': 'true' },
            c.parts.map((p, n) => {
              const bar = el('span', { class: `part-bar p${n % 4}` });
              bar.style.flexGrow = String(Math.max(p.mm, 1));
              return bar;
            }),
          ),
          el(
            'ul',
            { class: 'parts-list' },
            c.parts.map((p) => el('li', {}, `${p.words}: ${(p.mm / 1000).toFixed(2)} m`)),
            el('li', {}, el('strong', {}, `${T.cables.whole}: ${(whole / 1000).toFixed(2)} m`)),
          ),
        )
      : null,
    c.mains ? el('p', { class: 'advice' }, T.cables.mains) : null,
    el(
      'dl',
      { class: 'facts' },
      [
        [T.cables.size, c.reason],
        [T.cables.fuse, c.fuse_reason],
        [T.cables.through, c.through],
        [T.cables.longer, c.longer.join('; ')],
      ]
        .filter(([, v]) => v)
        .map(([k, v]) => [el('dt', {}, k), el('dd', {}, v)]),
    ),
    change(store, c),
    otherWay(store, stage, c),
    button(T.cables.remove, () => takeOut(store, 'job', ['circuits', c.number])),
  ];
}

/** @param {Store} store @param {CableRow} c */
function change(store, c) {
  const table = /** @type {any} */ (store.desk.job_tables).circuits?.[c.number] ?? {};
  const number = (/** @type {string} */ x) => {
    const v = Number.parseFloat(x.replace(',', '.'));
    return Number.isFinite(v) ? v : null;
  };
  const set = (/** @type {string} */ f, /** @type {any} */ v) =>
    store.edit('cables.set', { number: c.number, fields: { [f]: v } });
  return el(
    'details',
    {},
    el('summary', {}, T.cables.change),
    field(T.cables.label, { value: c.label, change: (v) => set('label', v) }).row,
    field(T.cables.amps, {
      value: String(table.amps ?? c.amps),
      mode: 'decimal',
      change: (v) => set('amps', number(v)),
    }).row,
    field(T.cables.size, {
      value: table.cable ?? '',
      hint: T.cables.any,
      change: (v) => set('cable', v || null),
    }).row,
    field(T.cables.drop, {
      value: String(table.drop_percent ?? ''),
      mode: 'decimal',
      change: (v) => set('drop_percent', number(v)),
    }).row,
    field(`${T.cables.fuse}, A`, {
      value: String(table.fuse_amp ?? ''),
      mode: 'decimal',
      hint: T.cables.any,
      change: (v) => set('fuse_amp', number(v)),
    }).row,
    Object.entries(T.cables.flags).map(
      ([flag, words]) => tick(words, table[flag] === true, (on) => set(flag, on || null)).row,
    ),
  );
}

/** @param {Store} store @param {Stage} stage @param {CableRow} c */
function otherWay(store, stage, c) {
  const table = /** @type {any} */ (store.desk.job_tables).circuits?.[c.number] ?? {};
  const joints = /** @type {[string, string][]} */ (
    store.desk.joints.map((j) => [j.key, store.label(`joint:${j.key}`)])
  );
  const via = field(T.cables.via, {
    options: [['', T.cables.any], ...joints],
    value: table.via?.[0] ?? '',
  });
  const avoid = field(T.cables.avoid, {
    options: [['', '-'], ...joints],
    value: table.avoid?.[0] ?? '',
  });
  const told = el('div', { class: 'tried', role: 'status' });
  const asked = () => ({
    number: c.number,
    via: via.input.value ? [via.input.value] : [],
    avoid: avoid.input.value ? [avoid.input.value] : [],
  });
  const tryIt = async () => {
    told.textContent = T.ways.trying;
    const found = await store.ask('cables.try_way', asked());
    if (!found) {
      told.textContent = '';
      return;
    }
    stage.tried(found.lines);
    show(
      told,
      el(
        'p',
        {},
        `${T.cables.was}: ${found.before}. ${T.cables.would}: ${found.after}. ${T.cables.costs} ${found.cost}`,
      ),
      el(
        'ul',
        {},
        found.words.map((w) => el('li', {}, w)),
      ),
      found.has_way
        ? button(T.cables.keep, () => store.edit('cables.keep_way', asked()), { class: 'main' })
        : null,
    );
  };
  stage.square.onDropOnJoint = (number, near) => {
    if (number !== c.number) return;
    via.input.value = insteadOf(store, c, near);
    avoid.input.value = '';
    tryIt();
  };
  return el(
    'details',
    { open: Boolean(table.via || table.avoid) },
    el('summary', {}, T.cables.other),
    el('p', { class: 'hint' }, T.cables.otherHint),
    via.row,
    avoid.row,
    button(T.cables.tryIt, tryIt, { disabled: !store.fresh }),
    told,
  );
}

/** Of holes that lie over one another in a drawing, the one that stands in for one it goes through.
 * @param {Store} store @param {CableRow} c @param {string[]} near */
function insteadOf(store, c, near) {
  const spaces = new Map(store.desk.joints.map((j) => [j.key, [...j.spaces].sort().join('|')]));
  const now = new Set(c.joints.map((j) => spaces.get(j)));
  const others = near.filter((j) => !c.joints.includes(j));
  return others.find((j) => now.has(spaces.get(j))) ?? others[0] ?? near[0];
}
