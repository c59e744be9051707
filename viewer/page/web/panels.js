// The panels in their order. To add one: a folder under `panels/` with a `panel.js`, named here.

import * as measure from './panels/measure/panel.js';
import * as gear from './panels/gear/panel.js';
import * as bench from './panels/bench/panel.js';
import * as ways from './panels/ways/panel.js';
import * as cables from './panels/cables/panel.js';
import * as findings from './panels/findings/panel.js';
import * as estimate from './panels/estimate/panel.js';
import * as papers from './panels/papers/panel.js';
import * as compare from './panels/compare/panel.js';
import * as built from './panels/built/panel.js';

/**
 * @typedef {object} Panel
 * @property {(host: HTMLElement, store: import('./store.js').Store, stage: import('./stage.js').Stage) => (what: string) => void} mount
 *   build the panel; what it returns is called with what has changed
 * @property {(store: import('./store.js').Store) => string} [badge] a few letters beside its name
 */

/** @type {[string, Panel][]} */
export const PANELS = [
  ['measure', measure],
  ['gear', gear],
  ['bench', bench],
  ['ways', ways],
  ['cables', cables],
  ['findings', findings],
  ['estimate', estimate],
  ['papers', papers],
  ['compare', compare],
  ['built', built],
];
