// The picture: square drawings and the boat all round, whichever a person looks at.

import { button, el, show, tick } from './dom.js';
import { SquareView } from './square.js';
import { T } from './texts.js';

/** @typedef {'above' | 'side' | 'aft' | 'round'} Look */
/** @typedef {import('./wire').BoxRow} BoxRow */

const NARROW_PX = 700;

export class Stage {
  /**
   * @param {HTMLElement} host
   * @param {import('./store.js').Store} store
   */
  constructor(host, store) {
    this.host = host;
    this.store = store;
    this.bar = el('div', { class: 'stage-bar' });
    this.picking = el('div', { class: 'picking', role: 'status' });
    this.flat = el('div', { class: 'flat' });
    this.solid = el('div', { class: 'solid' });
    this.turns = el('div', { class: 'turns' });
    this.under = el('div', { class: 'under' });
    host.append(
      this.bar,
      this.picking,
      el('div', { class: 'views' }, this.flat, this.solid, this.turns),
      this.under,
    );
    this.square = new SquareView(this.flat, store);
    /** @type {import('./round.js').RoundView | null} */
    this.round = null;
    /** @type {Look} */
    this.look = 'above';
    this.hidden = window.innerWidth < NARROW_PX;
    /** @type {{ rows?: { box: BoxRow, at: number[] }[], colour?: number, lines?: number[][][] }[]} */
    this.extras = [];
    this.resizing = new ResizeObserver(() => this.look !== 'round' && this.square.draw(this.look));
    this.resizing.observe(this.flat);
    this.flat.addEventListener(
      'dragover',
      (e) => e.dataTransfer?.types.includes('text/coaming-type') && e.preventDefault(),
    );
    this.flat.addEventListener('drop', (e) => this.dropped(e));
    this.drawBar();
  }

  close() {
    this.resizing.disconnect();
    this.round?.close();
  }

  /** A panel leaves: nothing of its own stays on the picture. */
  clear() {
    this.extras = [];
    this.square.ghost = null;
    this.square.extraLines = [];
    this.square.onDropOnJoint = null;
    this.under.replaceChildren();
    this.round?.way(null, null);
    this.round?.extras([]);
  }

  /** @param {string} what */
  hear(what) {
    if (['desk', 'space'].includes(what)) this.drawBar();
    if (['desk', 'answer', 'chosen', 'space'].includes(what)) this.draw();
    if (what === 'space' || (what === 'desk' && !this.fitted)) this.fit();
  }

  drawBar() {
    const boat = this.store.desk.boat;
    const spaces = boat?.spaces ?? [];
    if (this.store.space && !spaces.some((s) => s.key === this.store.space)) this.store.space = '';
    const looks = /** @type {Look[]} */ (['above', 'side', 'aft', 'round']);
    const chooser = el(
      'select',
      {
        'aria-label': T.stage.space,
        'data-key': 'space',
        onchange: (/** @type {Event} */ e) =>
          this.store.look_at(/** @type {HTMLSelectElement} */ (e.target).value),
      },
      el('option', { value: '' }, T.stage.whole),
      spaces.map((s) => el('option', { value: s.key }, this.store.label(`space:${s.key}`))),
    );
    chooser.value = this.store.space;
    show(
      this.bar,
      el(
        'div',
        { class: 'looks', role: 'group', 'aria-label': T.desk.picture },
        looks.map((look) =>
          button(T.stage[look], () => this.lookAt(look), {
            'aria-pressed': String(look === this.look),
          }),
        ),
      ),
      chooser,
      toggle(T.stage.cables, this.square.showCables, (on) => {
        this.square.showCables = on;
        if (this.round) this.round.showCables = on;
        this.draw();
      }),
      toggle(T.stage.rooms, this.square.showRooms, (on) => {
        this.square.showRooms = on;
        this.draw();
      }),
      button(
        this.hidden ? T.desk.showPicture : T.desk.hidePicture,
        () => {
          this.hidden = !this.hidden;
          this.drawBar();
          this.draw();
        },
        { class: 'hide' },
      ),
    );
    this.host.classList.toggle('hidden', this.hidden);
  }

  /** @param {Look} look */
  async lookAt(look) {
    this.look = look;
    this.hidden = false;
    this.drawBar();
    if (look === 'round') await this.needRound();
    this.draw();
  }

  async needRound() {
    if (this.round) return;
    const { canDraw, RoundView } = await import('./round.js');
    if (!canDraw()) {
      show(this.solid, el('p', { class: 'empty' }, T.stage.noGl));
      return;
    }
    this.round = new RoundView(this.solid, this.store, T.stage.round3d);
    const ways = /** @type {const} */ (['left', 'right', 'up', 'down', 'near', 'far']);
    show(
      this.turns,
      ways.map((w) => button(T.stage[w], () => this.round?.turn(w))),
      button(T.stage.fit, () => this.fit()),
    );
    this.fit();
  }

  draw() {
    const round = this.look === 'round';
    this.host.classList.toggle('round', round);
    const pick = this.store.picking;
    show(
      this.picking,
      pick ? el('span', {}, `${T.stage.pick} ${this.store.pickingWhat}`) : null,
      pick
        ? button(T.stage.pickStop, () => {
            this.store.picking = null;
            this.store.tell('chosen');
          })
        : null,
    );
    if (this.hidden && !pick) return;
    if (round) {
      this.round?.build();
      this.round?.extras(this.extras);
    } else {
      this.square.draw(/** @type {'above'} */ (this.look));
    }
  }

  fit() {
    const boat = this.store.desk.boat;
    if (!boat?.spaces.length) return;
    this.fitted = true;
    const mine = boat.spaces.filter((s) => !this.store.space || s.key === this.store.space);
    const low = [0, 1, 2].map((k) => Math.min(...mine.map((s) => s.low_mm[k])));
    const high = [0, 1, 2].map((k) => Math.max(...mine.map((s) => s.high_mm[k])));
    this.round?.fit(low, high);
  }

  /** Fly to something by its key. @param {string} key */
  flyTo(key) {
    const [kind, name] = key.split(':');
    const boat = this.store.desk.boat;
    if (!boat) return;
    const of = {
      piece: () => boat.stands.find((s) => s.key === name.split('.')[0])?.space,
      opening: () => boat.openings.find((o) => o.key === name)?.inner,
      solid: () => boat.solids.find((s) => s.key === name)?.space,
      hazard: () => boat.hazards.find((h) => h.key === name)?.space,
      space: () => name,
      joint: () => this.store.desk.joints.find((j) => j.key === name)?.spaces[0],
    };
    const space = /** @type {any} */ (of)[kind]?.() ?? '';
    this.store.chosen = key;
    this.store.look_at(boat.spaces.some((s) => s.key === space) ? space : '');
    this.store.tell('chosen');
  }

  /** Show a piece at a pose of its way; null for both puts it at rest.
   * @param {string} key @param {import('./wire').PoseRow | null} pose */
  way(key, pose) {
    const stand = this.store.desk.boat?.stands.find((s) => s.key === key);
    this.square.ghost = stand && pose ? { key, boxes: stand.body, pose } : null;
    if (this.look === 'round') this.round?.way(stand && pose ? stand.body : null, pose);
    else this.draw();
  }

  /** The ghost of a piece somewhere else, and what it clashes with. @param {string} key @param {number[]} by */
  ghost(key, by) {
    const stand = this.store.desk.boat?.stands.find((s) => s.key === key);
    if (!stand) return;
    const at = stand.at_mm.map((x, k) => x + by[k]);
    this.extras = [{ rows: stand.body.map((box) => ({ box, at })) }];
    this.square.ghost = {
      key,
      boxes: stand.body,
      pose: { at_mm: /** @type {any} */ (at), quat: [0, 0, 0, 1] },
    };
    this.draw();
  }

  /** Boxes where something could stand, at the end of its way.
   * @param {BoxRow[]} boxes @param {import('./wire').PoseRow[]} path */
  boxes(boxes, path) {
    const pose = path[path.length - 1];
    if (!pose) return;
    this.extras = [{ rows: boxes.map((box) => ({ box, at: pose.at_mm })) }];
    this.square.ghost = { key: '', boxes, pose };
    this.draw();
  }

  /** Nothing beside the boat is shown any more. */
  bare() {
    this.extras = [];
    this.square.ghost = null;
    this.draw();
  }

  /** @param {number[][][]} lines */
  tried(lines) {
    this.square.extraLines = /** @type {any} */ (lines);
    this.extras = lines.length ? [{ lines }] : [];
    this.draw();
  }

  /** @param {DragEvent} e */
  dropped(e) {
    const type = e.dataTransfer?.getData('text/coaming-type');
    if (!type || this.look === 'round') return;
    e.preventDefault();
    const box = this.flat.getBoundingClientRect();
    const at = this.square.back(e.clientX - box.left, e.clientY - box.top);
    const space = this.store.space || this.spaceAt(at);
    if (space) this.store.edit('gear.add', { type, space, at_mm: at });
  }

  /** @param {(number | null)[]} at */
  spaceAt(at) {
    const inside = (this.store.desk.boat?.spaces ?? []).filter((s) =>
      at.every((x, k) => x === null || (x >= s.low_mm[k] && x <= s.high_mm[k])),
    );
    return inside[0]?.key ?? '';
  }
}

/** Something shown or not. @param {string} words @param {boolean} on @param {(on: boolean) => void} turn */
function toggle(words, on, turn) {
  return tick(words, on, turn).row;
}
