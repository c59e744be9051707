// One job as the page knows it: its files, the answer with the revision it is of, what is chosen.

import { answerOf, ask, listen, Refused } from './talk.js';
import { T } from './texts.js';

/** @typedef {import('./wire').DeskRow} DeskRow */
/** @typedef {import('./wire').Parts} Parts */
/** @typedef {import('./wire').Commands} Commands */

export class Store {
  /**
   * @param {string} job
   * @param {DeskRow} desk
   */
  constructor(job, desk) {
    this.job = job;
    this.desk = desk;
    /** @type {Partial<Parts>} */
    this.parts = {};
    /** The revision the answer is of. */
    this.answered = '';
    /** The revision the pieces' verdicts are of: they are known before the cables are. */
    this.fitted = '';
    /** @type {import('./wire').WorkRow} */
    this.work = { state: 'resting', revision: '', words: '' };
    /** What is chosen, by its key with its kind, such as `piece:house_battery`. */
    this.chosen = '';
    /** The space that is looked at; empty for the whole boat. */
    this.space = '';
    this.there = true;
    this.panel = 'measure';
    /** @type {{ words: string[], kind: string } | null} */
    this.note = null;
    /** @type {Set<(what: string) => void>} */
    this.heard = new Set();
    /** @type {((key: string) => void) | null} a pick on the picture someone waits for */
    this.picking = null;
    this.pickingWhat = '';
    this.stopListening = () => {};
    this.held = false;
    this.pending = 0; // changes asked for and not answered yet
    /** @type {Set<string>} */
    this.waiting = new Set();
  }

  /** @param {string} job */
  static async open(job) {
    const store = new Store(job, await ask('desk.look', {}, job));
    const known = await answerOf(job);
    store.took(known);
    store.work = known.work;
    store.stopListening = listen(
      job,
      (e) => store.hear(e),
      (there) => store.isThere(there),
    );
    return store;
  }

  close() {
    this.stopListening();
    this.heard.clear();
  }

  /** True where the answer is that of the files as they are. */
  get fresh() {
    return this.answered !== '' && this.answered === this.desk.revision;
  }

  /** A hand holds something on the picture: what comes meanwhile is drawn when it lets go. */
  hold() {
    this.held = true;
  }

  letGo() {
    this.held = false;
    const waited = [...this.waiting];
    this.waiting.clear();
    for (const what of waited) this.tell(what);
  }

  /** True where what goes in is told of the files as they are. */
  get piecesFresh() {
    return this.fitted !== '' && this.fitted === this.desk.revision;
  }

  /** @param {string} what */
  tell(what) {
    if (this.held && what !== 'note' && what !== 'work') {
      this.waiting.add(what);
      return;
    }
    for (const f of [...this.heard]) f(what);
  }

  /** @param {{ revision: string, parts: Partial<Parts> }} known */
  took(known) {
    if (known.revision) {
      this.parts = known.parts;
      this.answered = known.revision;
      this.fitted = known.revision;
    }
  }

  /** @param {any} e */
  hear(e) {
    // another window or program has been at the files; one's own change comes with its answer
    if (e.revision && e.revision !== this.desk.revision && !this.pending) this.look();
    if (e.kind === 'work') {
      this.work = { state: e.state, revision: e.revision, words: e.words };
      this.tell('work');
    } else if (e.kind === 'answer') {
      this.took(e);
      this.work = { state: 'answered', revision: e.revision, words: '' };
      this.tell('answer');
    } else if (e.kind === 'pieces') {
      this.parts = { ...this.parts, ...e.parts };
      this.fitted = e.revision;
      this.tell('answer');
    } else if (e.kind === 'verdict') {
      const row = this.parts.ways?.pieces.find((p) => p.key === e.key);
      if (row) row.verdict = e.verdict;
      this.tell('verdict');
    } else if (e.kind === 'gone') {
      this.say([e.words], 'bad');
    } else if (e.kind === 'paper') {
      this.tell(`paper:${e.set}:${e.words}`);
    }
  }

  /** @param {boolean} there */
  isThere(there) {
    // what happened before the line was open, or while it was not, was not heard
    if (there) this.look();
    if (there === this.there) return;
    this.there = there;
    if (there) {
      this.say([T.serverBack], 'good');
    } else {
      this.say([T.serverGone], 'bad');
    }
    this.tell('work');
  }

  /** Look at the files again, and at the last answer: another window or program may have been there. */
  async look() {
    await this.done(ask('desk.look', {}, this.job), false);
    try {
      const known = await answerOf(this.job);
      this.took(known);
      this.work = known.work;
      this.tell('answer');
    } catch (e) {
      if (!(e instanceof Refused)) throw e;
    }
  }

  /**
   * Say something to the person.
   * @param {string[]} words
   * @param {string} [kind] `good`, `bad` or `plain`
   */
  say(words, kind = 'plain') {
    this.note = { words, kind };
    this.tell('note');
  }

  /**
   * A command that changes the files.
   * @template {keyof Commands} C
   * @param {C} command
   * @param {Commands[C]['ask']} what
   * @returns {Promise<boolean>} true where it was done
   */
  edit(command, what) {
    const asked = /** @type {any} */ ({ ...what, seen: this.desk.revision });
    return this.done(/** @type {Promise<any>} */ (ask(command, asked, this.job)), true);
  }

  /**
   * A command that changes nothing; null where it was refused (and said).
   * @template {keyof Commands} C
   * @param {C} command
   * @param {Commands[C]['ask']} what
   * @returns {Promise<Commands[C]['told'] | null>}
   */
  async ask(command, what) {
    try {
      return await ask(command, what, this.job);
    } catch (e) {
      this.refused(e);
      return null;
    }
  }

  /** @param {unknown} e */
  refused(e) {
    if (!(e instanceof Refused)) throw e;
    this.say(e.words, 'bad');
  }

  /**
   * @param {Promise<DeskRow>} asked
   * @param {boolean} tell
   */
  async done(asked, tell) {
    this.pending += 1;
    try {
      const desk = await asked;
      this.desk = desk;
      if (desk.elsewhere) this.say([desk.elsewhere], 'plain');
      else if (tell && desk.note) this.say([desk.note], 'good');
      this.tell('desk');
      return true;
    } catch (e) {
      this.refused(e);
      if (tell) this.look();
      return false;
    } finally {
      this.pending -= 1;
    }
  }

  /**
   * Choose a thing: it is lit on the picture, and its panel shows it.
   * @param {string} key
   */
  choose(key) {
    if (this.picking && key) {
      const picking = this.picking;
      this.picking = null;
      picking(key);
      this.tell('chosen');
      return;
    }
    this.chosen = key;
    this.tell('chosen');
  }

  /**
   * Wait for a pick on the picture.
   * @param {string} what
   * @param {(key: string) => void} picked
   */
  pick(what, picked) {
    this.picking = picked;
    this.pickingWhat = what;
    this.tell('chosen');
  }

  /** @param {string} key */
  label(key) {
    return this.desk.labels[key] ?? key.split(':').at(-1)?.replaceAll('_', ' ') ?? key;
  }

  /** @param {string} space */
  look_at(space) {
    this.space = space;
    this.tell('space');
  }
}

/** The person's initials, kept in this browser. */
export const who = {
  get: () => {
    try {
      return localStorage.getItem('coaming.by') ?? '';
    } catch {
      return '';
    }
  },
  /** @param {string} by */
  set: (by) => {
    try {
      localStorage.setItem('coaming.by', by);
    } catch {
      // a browser that keeps nothing asks again
    }
  },
};
