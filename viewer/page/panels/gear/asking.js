// What is asked for a thing of one's own and for a new board.

import { button, dialog, el, field, tick } from '../../dom.js';
import { T } from '../../texts.js';
import { spacesOf } from './chosen.js';

/** @typedef {import('../../store.js').Store} Store */

/** @param {Store} store @param {() => void} load */
export function askOwn(store, load) {
  dialog(T.gear.own, (done) => {
    const kinds = [
      'battery',
      'charger',
      'converter',
      'isolator',
      'fuse panel',
      'bus bar',
      'shunt',
      'fuse',
      'instrument',
      'pump',
      'light',
      'motor',
      'radio',
      'sensor',
      'switch',
      'other',
    ];
    const f = {
      label: field(T.gear.label, { name: 'label', required: true }),
      kind: field(T.gear.kind, { name: 'kind', options: kinds.map((k) => [k, k]) }),
      length: field(T.start.length, {
        name: 'length',
        mode: 'decimal',
        required: true,
        hint: T.start.lengthHint,
      }),
      breadth: field(T.start.breadth, { name: 'breadth', mode: 'decimal', required: true }),
      height: field(T.start.height, { name: 'height', mode: 'decimal', required: true }),
      mass: field(T.gear.mass, { name: 'mass', mode: 'decimal', required: true }),
      volts: field(T.gear.volts, { name: 'volts', mode: 'decimal' }),
      source: field(T.gear.source, { name: 'source' }),
    };
    const upright = tick(T.gear.upright, false);
    const number = (/** @type {string} */ x) => Number.parseFloat(x.replace(',', '.'));
    const go = async (/** @type {Event} */ e) => {
      e.preventDefault();
      const volts = number(f.volts.input.value);
      const mass = number(f.mass.input.value);
      const done2 = await store.edit('gear.own_type', {
        label: f.label.input.value,
        kind: f.kind.input.value,
        length: f.length.input.value,
        breadth: f.breadth.input.value,
        height: f.height.input.value,
        mass_kg: Number.isFinite(mass) ? mass : 0,
        upright: upright.input.checked,
        volts: Number.isFinite(volts) ? volts : null,
        source: f.source.input.value,
      });
      if (done2) {
        done();
        load();
      }
    };
    return [
      el(
        'form',
        { class: 'wide', onsubmit: go },
        el('p', { class: 'hint' }, T.gear.ownHint),
        el(
          'div',
          { class: 'fields' },
          Object.values(f).map((x) => x.row),
          upright.row,
        ),
        el(
          'div',
          { class: 'buttons' },
          el('button', { class: 'main' }, T.add.go),
          button(T.size.cancel, done),
        ),
      ),
    ];
  });
}

/** @param {Store} store */
export function askBoard(store) {
  dialog(T.gear.board, (done) => {
    const f = {
      label: field(T.gear.label, { name: 'label', required: true }),
      space: field(T.gear.putWhere, {
        name: 'space',
        options: spacesOf(store),
        value: store.space || undefined,
      }),
      face: field(T.gear.onSide, {
        name: 'face',
        options: Object.entries(T.faces),
        value: 'forward',
      }),
      length: field(T.gear.plateLength, { name: 'length', mode: 'decimal', required: true }),
      height: field(T.gear.plateHeight, { name: 'height', mode: 'decimal', required: true }),
      thickness: field(T.gear.thickness, { name: 'thickness', value: '12', mode: 'decimal' }),
      stand: field(T.gear.standOff, { name: 'stand_off', value: '20', mode: 'decimal' }),
    };
    const go = async (/** @type {Event} */ e) => {
      e.preventDefault();
      const before = new Set((store.desk.boat?.stands ?? []).map((s) => s.key));
      const made = await store.edit('gear.new_board', {
        label: f.label.input.value,
        space: f.space.input.value,
        face: /** @type {any} */ (f.face.input.value),
        length: f.length.input.value,
        height: f.height.input.value,
        thickness: f.thickness.input.value,
        stand_off_mm: Number.parseFloat(f.stand.input.value.replace(',', '.')) || 0,
      });
      if (!made) return;
      done();
      const board = (store.desk.boat?.stands ?? []).find((s) => !before.has(s.key));
      if (board) store.choose(`piece:${board.key}`);
    };
    return [
      el(
        'form',
        { class: 'wide', onsubmit: go },
        el('p', { class: 'hint' }, T.gear.boardHint),
        el(
          'div',
          { class: 'fields' },
          Object.values(f).map((x) => x.row),
        ),
        el(
          'div',
          { class: 'buttons' },
          el('button', { class: 'main' }, T.add.go),
          button(T.size.cancel, done),
        ),
      ),
    ];
  });
}
