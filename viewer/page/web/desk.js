// One job: its head with steps and work, the picture, and the panel in use.

import { button, dialog, el, openQuestion, show } from './dom.js';
import { PANELS } from './panels.js';
import { Stage } from './stage.js';
import { Store } from './store.js';
import { T } from './texts.js';

const TOLD_MS = 4000; // how long a word of success stays

/** Which panel shows a chosen thing best, by the kind of its key. */
const HOME = /** @type {Record<string, string[]>} */ ({
  piece: ['gear', 'ways', 'built', 'findings'],
  circuit: ['cables', 'findings', 'built'],
});

/**
 * @param {HTMLElement} page
 * @param {string} job
 * @returns {Promise<() => void>}
 */
export async function deskPage(page, job) {
  const store = await Store.open(job);
  const desk = new Desk(page, store);
  return () => desk.close();
}

class Desk {
  /**
   * @param {HTMLElement} page
   * @param {Store} store
   */
  constructor(page, store) {
    this.store = store;
    this.head = el('header', { class: 'head' });
    this.note = el('div', { class: 'telling', role: 'status', 'aria-live': 'polite' });
    this.next = el('div', { class: 'next' });
    this.stageHost = el('section', { class: 'stage', 'aria-label': T.desk.picture });
    this.tabs = el('nav', { class: 'tabs', 'aria-label': T.desk.panels });
    this.host = el('section', { class: 'panel', id: 'panel' });
    this.stale = el('p', { class: 'stale-words', role: 'status' });
    show(
      page,
      el(
        'div',
        { class: 'desk' },
        this.head,
        this.tabs,
        el(
          'main',
          { class: 'work' },
          this.stageHost,
          el('div', { class: 'side' }, this.next, this.stale, this.host),
        ),
        this.note,
      ),
    );
    this.tabsAre = '';
    this.stage = new Stage(this.stageHost, store);
    /** @type {(what: string) => void} */
    this.panel = () => {};
    /** @type {Set<string>} what came while a person typed */
    this.later = new Set();
    this.host.addEventListener('focusout', () =>
      queueMicrotask(() => this.typing() || this.typed()),
    );
    store.heard.add((what) => this.hear(what));
    this.keys = (/** @type {KeyboardEvent} */ e) => this.key(e);
    document.addEventListener('keydown', this.keys);
    this.closed = () => this.drawNote();
    document.addEventListener('question-closed', this.closed);
    const first = store.desk.boat && store.desk.boat.stands.length ? 'ways' : 'measure';
    this.openPanel(store.desk.boat && !store.desk.boat.stands.length ? 'gear' : first);
    this.hear('desk');
    this.hear('answer');
  }

  close() {
    document.removeEventListener('keydown', this.keys);
    document.removeEventListener('question-closed', this.closed);
    this.stage.close();
    this.store.close();
  }

  /** @param {KeyboardEvent} e */
  key(e) {
    const typing = e.target instanceof HTMLElement && e.target.matches('input, select, textarea');
    if ((e.ctrlKey || e.metaKey) && !typing && e.key.toLowerCase() === 'z') {
      e.preventDefault();
      this.step(e.shiftKey ? 'desk.redo' : 'desk.undo');
    }
    if (e.key === 'Escape' && this.store.picking) {
      this.store.picking = null;
      this.store.tell('chosen');
    }
  }

  /** @param {'desk.undo' | 'desk.redo'} command */
  step(command) {
    return this.store.done(this.askStep(command), true);
  }

  /** @param {'desk.undo' | 'desk.redo'} command */
  async askStep(command) {
    const { ask } = await import('./talk.js');
    return ask(command, {}, this.store.job);
  }

  /** @param {string} key */
  openPanel(key) {
    const found = PANELS.find(([k]) => k === key);
    if (!found) return;
    this.store.panel = key;
    if (this.store.note?.kind === 'good') this.store.note = null;
    this.drawNote();
    this.host.replaceChildren();
    this.host.setAttribute('aria-label', T.panels[/** @type {keyof typeof T.panels} */ (key)]);
    this.stage.clear();
    this.panel = found[1].mount(this.host, this.store, this.stage);
    this.drawTabs();
    this.drawStale();
    this.stage.draw();
  }

  /** @param {string} what */
  hear(what) {
    if (what.startsWith('open:')) {
      this.openPanel(what.slice(5));
      return;
    }
    if (what === 'desk') document.title = `${this.store.desk.job} - ${T.name}`;
    if (what === 'chosen' && this.store.chosen && !this.store.picking) {
      const homes = HOME[this.store.chosen.split(':')[0]];
      if (homes && !homes.includes(this.store.panel)) this.openPanel(homes[0]);
    }
    if (['desk', 'work', 'answer', 'verdict'].includes(what)) {
      this.drawHead();
      this.drawStale();
    }
    if (['desk', 'answer'].includes(what)) {
      this.drawTabs();
      this.drawNext();
    }
    if (what === 'note') this.drawNote();
    this.stage.hear(what);
    if (this.typing() && ['answer', 'verdict'].includes(what)) this.later.add(what);
    else this.panel(what);
  }

  /** True while a person types into the panel: it is not drawn anew under their fingers. */
  typing() {
    const here = document.activeElement;
    return (
      here instanceof HTMLElement &&
      this.host.contains(here) &&
      here.matches('input:not([type=checkbox], [type=range]), textarea')
    );
  }

  typed() {
    const later = [...this.later];
    this.later.clear();
    for (const what of later) this.panel(what);
  }

  drawHead() {
    const { desk, work, there } = this.store;
    // an answer of an earlier state is no answer yet
    const now = work.state === 'answered' && !this.store.fresh ? 'working' : work.state;
    const state = there ? now : 'away';
    const busy = state === 'working';
    const words = busy
      ? `${T.desk.working} ${work.words}`
      : state === 'failed'
        ? `${T.desk.failed}: ${work.words}`
        : T.desk[/** @type {'answered'} */ (state)];
    show(
      this.head,
      el('a', { href: '#', class: 'back' }, T.desk.back),
      el('div', { class: 'titles' }, el('h1', {}, desk.job), el('span', {}, desk.hull)),
      el(
        'div',
        { class: 'steps' },
        button(T.desk.undo, () => this.step('desk.undo'), {
          disabled: !desk.undo,
          title: desk.undo || T.desk.nothingToUndo,
        }),
        button(T.desk.redo, () => this.step('desk.redo'), {
          disabled: !desk.redo,
          title: desk.redo || T.desk.nothingToRedo,
        }),
      ),
      el(
        'div',
        {
          class: `work-state ${state}`,
          'data-of': this.store.answered,
          'data-fitted': this.store.fitted,
        },
        el('span', { class: 'dot', 'aria-hidden': 'true' }),
        el('span', { class: 'work-words', role: 'status' }, words),
        busy ? button(T.desk.stop, () => this.store.ask('desk.stop', {})) : null,
        state === 'stopped' ? button(T.desk.again, () => this.store.ask('desk.again', {})) : null,
      ),
    );
  }

  drawTabs() {
    // drawn only where something differs: a button is not changed under a finger
    const now =
      PANELS.map(([key, panel]) => `${key}${panel.badge?.(this.store) ?? ''}`).join() +
      this.store.panel;
    if (now === this.tabsAre) return;
    this.tabsAre = now;
    show(
      this.tabs,
      PANELS.map(([key, panel]) => {
        const badge = panel.badge?.(this.store) ?? '';
        const words = T.panels[/** @type {keyof typeof T.panels} */ (key)];
        return el(
          'button',
          {
            type: 'button',
            class: 'tab',
            'data-key': `tab:${key}`,
            'aria-current': key === this.store.panel ? 'page' : undefined,
            'aria-controls': 'panel',
            onclick: () => this.openPanel(key),
          },
          words,
          badge ? el('span', { class: 'badge' }, badge) : null,
        );
      }),
    );
  }

  drawNext() {
    const { desk, parts } = this.store;
    if (desk.problems.length) {
      show(
        this.next,
        el('h2', {}, T.desk.problems),
        el(
          'ol',
          { class: 'problems' },
          desk.problems.map((p) => el('li', {}, p.words)),
        ),
      );
      return;
    }
    const steps = parts.desk?.steps ?? [];
    show(
      this.next,
      steps.length
        ? el(
            'p',
            { class: 'next-line' },
            el('strong', {}, `${T.desk.next} `),
            steps[0],
            ' ',
            steps.length > 1
              ? button(`${T.desk.moreSteps} (${steps.length})`, () => this.allSteps(), {
                  class: 'plain',
                })
              : null,
          )
        : null,
    );
  }

  allSteps() {
    const part = this.store.parts.desk;
    if (!part) return;
    dialog(T.desk.next, (done) => [
      el(
        'ol',
        { class: 'steps-list' },
        part.steps.map((s) => el('li', {}, s)),
      ),
      el('h3', {}, T.desk.cautions),
      el(
        'ul',
        {},
        part.cautions.map((c) => el('li', {}, c)),
      ),
      el('div', { class: 'buttons' }, button(T.desk.close, done)),
    ]);
  }

  drawStale() {
    const { answered, panel } = this.store;
    const shows = ['ways', 'cables', 'findings'].includes(panel);
    const fresh = panel === 'ways' ? this.store.piecesFresh : this.store.fresh;
    this.next.classList.toggle('stale', !this.store.fresh);
    this.host.classList.toggle('stale', shows && !fresh);
    this.stale.textContent = !shows || fresh ? '' : answered ? T.desk.stale : T.desk.none;
  }

  drawNote() {
    const note = this.store.note;
    this.note.replaceChildren();
    const host = openQuestion() ?? this.note;
    host.replaceChildren();
    if (!note || note.words.every((w) => !w)) return;
    const bad = note.kind === 'bad';
    show(
      host,
      el(
        'div',
        { class: `told-box ${note.kind}`, role: bad ? 'alert' : undefined },
        el(
          'div',
          {},
          note.words.map((w) => el('p', {}, w)),
        ),
        button(T.desk.close, () => {
          this.store.note = null;
          this.drawNote();
        }),
      ),
    );
    if (!bad) {
      const shown = note;
      setTimeout(() => {
        if (this.store.note === shown) {
          this.store.note = null;
          this.drawNote();
        }
      }, TOLD_MS);
    }
  }
}
