// The bench: a board arranged so that it goes in, and places found for things.

import { button, el, field, show, svg } from '../../dom.js';
import { T } from '../../texts.js';

/** @typedef {import('../../store.js').Store} Store */
/** @typedef {import('../../stage.js').Stage} Stage */
/** @typedef {import('../../wire').ArrangedTold} Arranged */
/** @typedef {import('../../wire').PlacedTold} Placed */
/** @typedef {import('../../wire').ArrangedBoardRow} Board */
/** @typedef {import('../../wire').PlacedRow} Place */

/** @param {HTMLElement} host @param {Store} store @param {Stage} stage */
export function mount(host, store, stage) {
  const panel = new Bench(host, store, stage);
  panel.draw();
  panel.loadTypes();
  return (/** @type {string} */ what) => {
    if (what === 'desk') panel.draw();
  };
}

class Bench {
  /** @param {HTMLElement} host @param {Store} store @param {Stage} stage */
  constructor(host, store, stage) {
    this.host = host;
    this.store = store;
    this.stage = stage;
    this.ask = { board: '', aim: '', thing: '', also: '', space: '' };
    /** @type {Arranged | null} */
    this.arranged = null;
    /** @type {Placed | null} */
    this.placed = null;
    /** @type {import('../../wire').TypeCard[]} */
    this.types = [];
    this.says = '';
    this.busy = false;
  }

  async loadTypes() {
    const known = await this.store.ask('gear.types', {});
    if (known) this.types = known.types;
    this.draw();
  }

  draw() {
    show(
      this.host,
      el('p', { class: 'intro' }, T.bench.intro),
      el('p', { role: 'status' }, this.says),
      el('h2', {}, T.bench.arrangeTitle),
      this.arrangeForm(),
      this.arranged ? this.arrangedRows(this.arranged) : null,
      el('h2', {}, T.bench.placeTitle),
      this.placeForm(),
      this.placed ? this.placedRows(this.placed) : null,
    );
  }

  /** @returns {[string, string][]} */
  boards() {
    const stands = this.store.desk.boat?.stands ?? [];
    return stands.filter((s) => s.is_board).map((s) => [s.key, this.store.label(`piece:${s.key}`)]);
  }

  arrangeForm() {
    const boards = this.boards();
    if (!boards.length) return el('p', { class: 'empty' }, T.bench.noBoard);
    if (!boards.some(([k]) => k === this.ask.board)) this.ask.board = boards[0][0];
    const board = field(T.bench.board, {
      name: 'board',
      options: boards,
      value: this.ask.board,
      change: (v) => {
        this.ask.board = v;
      },
    });
    const aim = field(T.bench.aim, {
      name: 'aim',
      options: Object.entries(T.bench.aims),
      value: this.ask.aim,
      change: (v) => {
        this.ask.aim = v;
      },
    });
    const go = () =>
      this.work(async () => {
        this.arranged =
          (await this.store.ask('bench.arrange', {
            board: this.ask.board,
            aim: /** @type {any} */ (this.ask.aim),
          })) ?? null;
      });
    return el(
      'div',
      { class: 'fields' },
      board.row,
      aim.row,
      button(T.bench.arrange, go, { class: 'main', disabled: this.busy, 'data-key': 'arrange' }),
    );
  }

  /** @param {() => Promise<void>} run */
  async work(run) {
    this.busy = true;
    this.says = T.bench.working;
    this.draw();
    try {
      await run();
    } finally {
      this.busy = false;
      this.says = '';
      this.draw();
    }
  }

  /** @param {Arranged} told */
  arrangedRows(told) {
    const { found } = told;
    const one = found.boards.length === 1 && found.sets.length > 0;
    const take = () =>
      this.take(found.sets, `${found.label}: arranged`, () => (this.arranged = null));
    return el(
      'div',
      { class: 'chosen-box proposal' },
      el('p', {}, told.heading),
      found.boards.map((b) => frontOf(b, found, this.store)),
      el(
        'ul',
        {},
        told.lines.map((line) => el('li', {}, line.trim())),
      ),
      one ? button(T.bench.take, take, { class: 'main', 'data-key': 'take-board' }) : null,
    );
  }

  /** @param {any} sets @param {string} words @param {() => void} then */
  async take(sets, words, then) {
    const rows = sets.map((/** @type {[string[], any]} */ [path, value]) => ({ path, value }));
    if (await this.store.edit('bench.take', { sets: rows, words })) {
      then();
      this.says = T.bench.taken;
      this.stage.bare();
      this.draw();
    }
  }

  // -- places --------------------------------------------------------------------------------

  /** @returns {[string, string][]} */
  things() {
    const stands = this.store.desk.boat?.stands ?? [];
    const own = stands
      .filter((s) => !s.fixed_already)
      .map((s) => /** @type {[string, string]} */ ([s.key, this.store.label(`piece:${s.key}`)]));
    const fresh = this.types.map(
      (t) => /** @type {[string, string]} */ ([t.key, `${T.bench.types}${t.label}`]),
    );
    return [...own, ...fresh];
  }

  placeForm() {
    const things = this.things();
    if (!things.length) return el('p', { class: 'empty' }, T.bench.none);
    if (!things.some(([k]) => k === this.ask.thing)) this.ask.thing = things[0][0];
    const spaces = (this.store.desk.boat?.spaces ?? []).map(
      (s) => /** @type {[string, string]} */ ([s.key, this.store.label(`space:${s.key}`)]),
    );
    const pick = (
      /** @type {'thing' | 'also' | 'space'} */ key,
      /** @type {string} */ label,
      /** @type {[string, string][]} */ options,
    ) =>
      field(label, {
        name: key,
        options,
        value: this.ask[key],
        change: (v) => {
          this.ask[key] = v;
        },
      }).row;
    const go = () =>
      this.work(async () => {
        const also = this.ask.also && this.ask.also !== this.ask.thing ? [this.ask.also] : [];
        this.placed =
          (await this.store.ask('bench.place', {
            things: [this.ask.thing, ...also],
            spaces: this.ask.space ? [this.ask.space] : [],
          })) ?? null;
      });
    return el(
      'div',
      { class: 'fields' },
      pick('thing', T.bench.thing, things),
      pick('also', T.bench.more, [['', T.bench.nothingMore], ...things]),
      pick('space', T.bench.space, [['', T.bench.everywhere], ...spaces]),
      button(T.bench.place, go, { class: 'main', disabled: this.busy, 'data-key': 'place' }),
    );
  }

  /** @param {Placed} told */
  placedRows(told) {
    const { found } = told;
    const all = () => {
      const sets = found.places.flatMap((p) => p.sets);
      this.take(sets, T.bench.placeTitle, () => (this.placed = null));
    };
    return el(
      'div',
      { class: 'proposal' },
      el(
        'ol',
        { class: 'places' },
        found.places.map((p, n) => this.placeRow(told, p, n)),
      ),
      told.lines.map((line) => el('p', {}, line)),
      found.together && found.places.length && !found.left.length
        ? button(T.bench.together, all, { class: 'main', 'data-key': 'take-all' })
        : null,
    );
  }

  /** @param {Placed} told @param {Place} p @param {number} n */
  placeRow(told, p, n) {
    const words = told.places[n];
    const put = () => this.take(p.sets, `${p.label}: ${words.where}`, () => (this.placed = null));
    return el(
      'li',
      {},
      el('strong', {}, `${p.label}: ${words.where}`),
      el('p', {}, words.reasons),
      el(
        'div',
        { class: 'buttons wrap' },
        button(T.bench.show, () => this.stage.boxes(p.body, p.path), { 'data-key': `show:${n}` }),
        told.found.together
          ? null
          : button(T.bench.put, put, { class: 'main', 'data-key': `put:${n}` }),
      ),
    );
  }
}

/** The board from its front, to scale, its parts by name.
 * @param {Board} b @param {import('../../wire').ArrangedRow} found @param {Store} store */
function frontOf(b, found, store) {
  const [w, h] = b.plate_mm;
  const edge = Math.max(w, h) * 0.04;
  const shapes = b.parts.map((p) => {
    const [x, y] = [p.low[0], h - p.high[1]];
    const name = store.label(`piece:${found.board}.${p.key}`).split(',')[0];
    const wide = p.high[0] - p.low[0];
    const size = Math.min(Math.max(w, h) / 34, (wide / Math.max(name.length, 1)) * 1.7);
    return svg(
      'g',
      { class: 'gear' },
      svg('title', {}, name),
      svg('rect', { x, y, width: wide, height: p.high[1] - p.low[1] }),
      svg(
        'text',
        {
          x: x + wide / 2,
          y: y + (p.high[1] - p.low[1]) / 2 + size / 3,
          'font-size': size,
          'text-anchor': 'middle',
        },
        name,
      ),
    );
  });
  return svg(
    'svg',
    {
      viewBox: `${-edge} ${-edge} ${w + 2 * edge} ${h + 2 * edge}`,
      class: 'board-front',
      role: 'img',
      'aria-label': `${T.bench.front}: ${w} x ${h} mm`,
    },
    svg('rect', { x: 0, y: 0, width: w, height: h, class: 'plate' }),
    ...shapes,
  );
}
