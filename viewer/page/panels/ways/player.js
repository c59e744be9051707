// A way in played, scrubbed, and stopped at its tightest place.

import { button, el } from '../../dom.js';
import { T } from '../../texts.js';

/** @typedef {import('../../wire').WayRow} WayRow */

const FRAME_MS = 70;
const MUCH_MM = 150;
const STRIP_W = 300;
const STRIP_H = 34;

export class Player {
  /**
   * @param {import('../../store.js').Store} store
   * @param {import('../../stage.js').Stage} stage
   */
  constructor(store, stage) {
    this.store = store;
    this.stage = stage;
    this.key = '';
    /** @type {import('../../wire').FramesRow | null} */
    this.way = null;
    this.at = 0;
    this.timer = 0;
  }

  leave() {
    clearInterval(this.timer);
    this.timer = 0;
    if (this.way) {
      this.way = null;
      this.stage.way(this.key, null);
    }
    this.key = '';
  }

  /** @param {WayRow} row */
  controls(row) {
    this.row = row;
    this.key = row.key;
    this.words = el('p', { class: 'step-words', role: 'status' });
    this.scrub = el('input', {
      type: 'range',
      min: 0,
      max: 1000,
      value: '0',
      class: 'scrub',
      'aria-label': T.ways.scrub,
      'data-key': 'scrub',
    });
    this.scrub.addEventListener('input', async () => {
      if (await this.load())
        this.go(
          Math.round((Number(this.scrub?.value) / 1000) * ((this.way?.frames.length ?? 1) - 1)),
        );
    });
    this.playing = button(T.ways.play, () => this.play(), { class: 'main', 'data-key': 'play' });
    this.strip = el('canvas', {
      width: STRIP_W,
      height: STRIP_H,
      class: 'room-strip',
      'aria-hidden': 'true',
    });
    return el(
      'div',
      { class: 'player' },
      el(
        'div',
        { class: 'buttons' },
        this.playing,
        button(T.ways.tightest, () => this.toTightest()),
      ),
      this.scrub,
      this.strip,
      this.words,
    );
  }

  async load() {
    if (this.way && this.way.key === this.key) return true;
    this.way = await this.store.ask('ways.frames', { key: this.key });
    if (this.way) this.drawStrip();
    return Boolean(this.way);
  }

  async play() {
    if (this.timer) {
      clearInterval(this.timer);
      this.timer = 0;
      if (this.playing) this.playing.textContent = T.ways.play;
      return;
    }
    if (!(await this.load()) || !this.way) return;
    const last = this.way.frames.length - 1;
    if (this.at >= last) this.at = 0;
    if (this.playing) this.playing.textContent = T.ways.pause;
    this.timer = window.setInterval(() => {
      this.go(this.at + 1);
      if (this.at >= last) this.play();
    }, FRAME_MS);
  }

  async toTightest() {
    if (this.timer) this.play();
    if ((await this.load()) && this.way) this.go(this.way.tightest);
  }

  /** @param {number} n */
  go(n) {
    const frames = this.way?.frames;
    if (!frames || !this.row) return;
    this.at = Math.max(0, Math.min(n, frames.length - 1));
    const f = frames[this.at];
    this.stage.way(this.key, f.pose);
    if (this.scrub) this.scrub.value = String(Math.round((this.at / (frames.length - 1)) * 1000));
    const step = this.row.steps[f.step];
    const room =
      f.room_mm > MUCH_MM ? T.ways.much : `${T.ways.room(f.room_mm)}${f.near ? `: ${f.near}` : ''}`;
    if (this.words) {
      this.words.textContent = `${T.ways.step(f.step + 1, this.row.steps.length)}. ${step?.words ?? ''} (${f.seat ? T.ways.inPlace : room})`;
    }
    this.drawStrip();
  }

  /** The room along the way: narrow where it is tight. */
  drawStrip() {
    const c = this.strip?.getContext('2d');
    const frames = this.way?.frames;
    if (!c || !frames) return;
    c.clearRect(0, 0, STRIP_W, STRIP_H);
    const x = (/** @type {number} */ n) => (n / (frames.length - 1)) * STRIP_W;
    c.fillStyle = '#b9cfd1';
    frames.forEach((f, n) => {
      const h = 2 + (Math.min(f.room_mm, MUCH_MM) / MUCH_MM) * (STRIP_H - 4);
      c.fillRect(x(n), STRIP_H - h, STRIP_W / frames.length + 1, h);
    });
    c.fillStyle = '#a03025';
    c.fillRect(x(this.way?.tightest ?? 0) - 1, 0, 3, STRIP_H);
    c.fillStyle = '#14242b';
    c.fillRect(x(this.at) - 1, 0, 2, STRIP_H);
  }
}
