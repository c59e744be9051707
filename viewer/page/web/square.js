// The boat from above, from the side and from aft, to scale, with sizes one can type into.

import { compass, dimensionsHere, drawDimensions, hatching, mattering } from './dimensioned.js';
import { cut, el, svg } from './dom.js';
import { draggable, dropOnJoint } from './drags.js';
import { corners, hull, moved, posed } from './shapes.js';
import { T } from './texts.js';

/** @typedef {[number, number, number]} Triple */

/** The axes of a view: across the paper with its sign, and up the paper. From aft, port is left. */
export const VIEWS = {
  above: { u: 0, su: 1, v: 1, from: 2 },
  side: { u: 0, su: 1, v: 2, from: 1 },
  aft: { u: 1, su: -1, v: 2, from: 0 },
};
const ROW = 46; // px between two dimension lines: a finger's width
const NARROW_PX = 520;
const NARROW_ROW = 36;
const PAD = 30;

export class SquareView {
  /**
   * @param {HTMLElement} host
   * @param {import('./store.js').Store} store
   */
  constructor(host, store) {
    this.host = host;
    this.store = store;
    this.view = VIEWS.above;
    this.scale = 1;
    this.row = ROW;
    this.x0 = 0;
    this.y0 = 0;
    /** @type {((circuit: string, joints: string[]) => void) | null} */
    this.onDropOnJoint = null;
    this.showRooms = false;
    this.showCables = true;
    /** @type {{ key: string, boxes: import('./wire').BoxRow[], pose: any } | null} */
    this.ghost = null;
    /** @type {Triple[][]} */
    this.extraLines = [];
  }

  /** @param {Triple} p */
  at(p) {
    const { u, su, v } = this.view;
    return [this.x0 + su * p[u] * this.scale, this.y0 - p[v] * this.scale];
  }

  /** The hull position of a point of the drawing; the axis looked along is null.
   * @param {number} x @param {number} y
   * @returns {[number | null, number | null, number | null]} */
  back(x, y) {
    const { u, su, v } = this.view;
    /** @type {[number | null, number | null, number | null]} */
    const p = [null, null, null];
    p[u] = (su * (x - this.x0)) / this.scale;
    p[v] = (this.y0 - y) / this.scale;
    return p;
  }

  /** @param {keyof typeof VIEWS} name */
  draw(name) {
    this.view = VIEWS[name];
    const { boat, dimensions } = this.store.desk;
    if (!boat) {
      this.host.replaceChildren(el('p', { class: 'empty' }, T.stage.none));
      return;
    }
    const w = Math.max(this.host.clientWidth, 260);
    const h = Math.max(this.host.clientHeight, 240);
    const dims = dimensionsHere(this, dimensions);
    const across = dims.filter((d) => d.axis === this.view.u);
    const up = dims.filter((d) => d.axis === this.view.v);
    const narrow = w < NARROW_PX;
    this.row = narrow ? NARROW_ROW : ROW;
    const rows = Math.min(across.length, narrow ? 3 : 5);
    const cols = Math.min(up.length, narrow ? 2 : 4);
    this.fit(boat, w - cols * this.row, h - rows * this.row, cols * this.row);
    const drawing = svg('svg', {
      width: w,
      height: h,
      viewBox: `0 0 ${w} ${h}`,
      role: 'group',
      'aria-label': T.stage.square,
    });
    drawing.append(hatching());
    this.drawing = drawing;
    this.drawBoat(boat);
    this.drawCables();
    this.drawExtras();
    drawDimensions(
      this,
      mattering(across, rows),
      mattering(up, cols),
      h - rows * this.row,
      cols * this.row,
    );
    drawing.append(compass(this, w));
    this.host.replaceChildren(drawing);
  }

  /** @param {import('./wire').BoatRow} boat @param {number} w @param {number} h @param {number} left */
  fit(boat, w, h, left) {
    const { u, su, v } = this.view;
    const spaces = boat.spaces.filter((s) => !this.store.space || s.key === this.store.space);
    let [a, b, c, d] = [Infinity, -Infinity, Infinity, -Infinity];
    for (const s of spaces) {
      a = Math.min(a, su * s.low_mm[u], su * s.high_mm[u]);
      b = Math.max(b, su * s.low_mm[u], su * s.high_mm[u]);
      c = Math.min(c, s.low_mm[v]);
      d = Math.max(d, s.high_mm[v]);
    }
    if (!Number.isFinite(a)) [a, b, c, d] = [0, 1000, 0, 1000];
    if (this.store.space) {
      const over = 0.12 * Math.max(b - a, d - c);
      [a, b, c, d] = [a - over, b + over, c - over, d + over];
    }
    this.scale = Math.max(Math.min((w - 2 * PAD) / (b - a), (h - 2 * PAD) / (d - c)), 1e-4);
    this.x0 = left + w / 2 - ((a + b) / 2) * this.scale;
    this.y0 = h / 2 + ((c + d) / 2) * this.scale;
  }

  /** @param {import('./wire').BoatRow} boat */
  drawBoat(boat) {
    const { store } = this;
    const { labels } = store.desk;
    for (const s of boat.spaces) {
      this.box(
        s.low_mm,
        s.high_mm,
        `space ${store.space === s.key ? 'here' : ''}`,
        `space:${s.key}`,
        labels,
      );
    }
    for (const o of store.desk.openings) this.opening(o);
    for (const s of boat.solids) this.solid([s.box], 'solid', `solid:${s.key}`);
    for (const x of boat.hazards)
      this.box(x.low_mm, x.high_mm, 'hazard', `hazard:${x.key}`, labels);
    if (this.showRooms)
      for (const r of store.desk.rooms) this.box(r.low_mm, r.high_mm, 'room', '', labels, r.why);
    for (const s of boat.stands) {
      const at = s.at_mm;
      const boxes = s.body.map((b) => moved(b, at));
      const away = store.space && s.space !== store.space && store.chosen !== `piece:${s.key}`;
      this.solid(
        boxes,
        `gear ${s.fixed_already ? 'fixed' : ''} ${away ? 'away' : ''}`,
        `piece:${s.key}`,
        !away,
      );
    }
    for (const j of store.desk.joints) this.joint(j);
  }

  /**
   * @param {Triple} low @param {Triple} high @param {string} look @param {string} key
   * @param {Record<string, string>} labels @param {string} [words]
   */
  box(low, high, look, key, labels, words = '') {
    const [x1, y1] = this.at(low);
    const [x2, y2] = this.at(high);
    const label = words || labels[key] || '';
    const r = svg('rect', {
      x: Math.min(x1, x2),
      y: Math.min(y1, y2),
      width: Math.max(Math.abs(x2 - x1), 1),
      height: Math.max(Math.abs(y2 - y1), 1),
    });
    this.thing(look, key, label, [r]);
    if (look.startsWith('space')) {
      this.words(Math.min(x1, x2) + 5, Math.min(y1, y2) + 15, label, 'label');
    }
  }

  /** Words for the eye: a thing's whole name is told by the thing itself.
   * @param {number} x @param {number} y @param {string} words @param {string} look */
  words(x, y, words, look) {
    this.drawing?.append(svg('text', { x, y, class: look, 'aria-hidden': 'true' }, words));
  }

  /** @param {import('./wire').BoxRow[]} boxes @param {string} look @param {string} key
   * @param {boolean} [named] */
  solid(boxes, look, key, named = false) {
    const shapes = boxes.map((b) => svg('polygon', { points: this.outline(b) }));
    const label = this.store.label(key);
    const g = this.thing(look, key, label, shapes);
    if (named && boxes.length) {
      const [x, y] = this.at(boxes[0].centre_mm);
      const wide = boxes[0].half_mm[this.view.u] * this.scale * 2;
      if (wide > 34) this.words(x, y + 4, cut(label, Math.floor(wide / 6)), 'label mid');
    }
    if (key.startsWith('piece:')) draggable(this, g, key);
  }

  /** @param {string} look @param {string} key @param {string} label @param {SVGElement[]} shapes */
  thing(look, key, label, shapes) {
    const chosen = key && key === this.store.chosen;
    const g = svg(
      'g',
      {
        class: `${look} ${chosen ? 'chosen' : ''}`,
        'data-thing': key || undefined,
        tabindex: key && !key.startsWith('hazard') ? 0 : undefined,
        role: key ? 'button' : undefined,
        'aria-label': key ? label : undefined,
        'aria-pressed': key ? String(Boolean(chosen)) : undefined,
      },
      svg('title', {}, label),
      ...shapes,
    );
    if (key) {
      const act = () =>
        key.startsWith('space:') && !this.store.picking
          ? this.store.look_at(key.slice(6))
          : this.store.choose(key);
      g.addEventListener('click', (e) => {
        e.stopPropagation();
        act();
      });
      g.addEventListener('keydown', (e) => {
        if (e.key === 'Enter' || e.key === ' ') {
          e.preventDefault();
          act();
        }
      });
    }
    this.drawing?.append(g);
    return g;
  }

  /** The outline of a box in this view. @param {import('./wire').BoxRow} b */
  outline(b) {
    const pts = corners(b).map((p) => this.at(p));
    return hull(pts)
      .map((p) => p.map((x) => x.toFixed(1)).join(','))
      .join(' ');
  }

  /** @param {import('./wire').OpeningShape} o */
  opening(o) {
    const key = `opening:${o.key}`;
    const [u, v] = [0, 1, 2].filter((k) => k !== o.axis);
    /** @type {Triple} */
    const low = [...o.centre_mm];
    /** @type {Triple} */
    const high = [...o.centre_mm];
    [u, v].forEach((k, i) => {
      low[k] -= o.size_mm[i] / 2;
      high[k] += o.size_mm[i] / 2;
    });
    const flat = o.axis === this.view.from;
    if (!flat) high[o.axis] += o.sign * Math.max(o.throat_mm, 8);
    const [x1, y1] = this.at(low);
    const [x2, y2] = this.at(high);
    const r = flat ? o.radius_mm * this.scale : 0;
    const shape = svg('rect', {
      x: Math.min(x1, x2),
      y: Math.min(y1, y2),
      width: Math.max(Math.abs(x2 - x1), 3),
      height: Math.max(Math.abs(y2 - y1), 3),
      rx: r,
    });
    this.thing(`opening ${flat ? 'flat' : ''}`, key, this.store.label(key), [shape]);
  }

  /** @param {import('./wire').JointShape} j */
  joint(j) {
    const pts = j.points_mm.map((p) => this.at(p));
    const r = Math.max((j.bore_mm / 2) * this.scale, 5);
    const shapes = pts.map(([x, y]) => svg('circle', { cx: x, cy: y, r }));
    if (pts.length > 1)
      shapes.unshift(svg('polyline', { points: pts.map((p) => p.join(',')).join(' ') }));
    shapes.push(...pts.map(([x, y]) => svg('circle', { cx: x, cy: y, r: 14, class: 'reach' })));
    const g = this.thing(
      `joint ${j.kind}`,
      `joint:${j.key}`,
      this.store.label(`joint:${j.key}`),
      shapes,
    );
    g.setAttribute('data-joint', j.key);
  }

  drawCables() {
    if (!this.showCables) return;
    const rows = this.store.parts.cables?.circuits ?? [];
    const chosen = this.store.chosen.startsWith('circuit:') ? this.store.chosen.slice(8) : '';
    for (const c of [...rows].sort(
      (p, q) => Number(p.number === chosen) - Number(q.number === chosen),
    )) {
      for (const line of c.lines) {
        this.cable(
          line,
          `cable ${c.number === chosen ? 'lit' : ''} ${this.store.fresh ? '' : 'old'}`,
          c,
        );
      }
    }
  }

  /** @param {Triple[]} line @param {string} look @param {import('./wire').CableRow} [c] */
  cable(line, look, c) {
    const points = line
      .map((p) =>
        this.at(p)
          .map((x) => x.toFixed(1))
          .join(','),
      )
      .join(' ');
    const shape = svg('polyline', { points });
    const g = svg('g', { class: look }, shape);
    if (c && look.includes('lit')) {
      g.append(svg('polyline', { points, class: 'reach' }));
      dropOnJoint(this, g, c.number);
    } else if (c) {
      g.append(svg('polyline', { points, class: 'reach thin' }));
      g.addEventListener('click', (e) => {
        e.stopPropagation();
        this.store.choose(`circuit:${c.number}`);
      });
    }
    g.append(svg('title', {}, c ? `${c.number} ${c.label}` : ''));
    this.drawing?.append(g);
  }

  drawExtras() {
    for (const line of this.extraLines) this.cable(line, 'cable tried');
    if (this.ghost) {
      const { boxes, pose } = this.ghost;
      const shapes = boxes.map((b) => svg('polygon', { points: this.outline(posed(b, pose)) }));
      this.drawing?.append(svg('g', { class: 'ghost' }, ...shapes));
    }
  }
}
