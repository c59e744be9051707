// The page begins here: the folder, or the job named in the address.

import { deskPage } from './desk.js';
import { startPage } from './start.js';
import { el, show } from './dom.js';
import { Refused } from './talk.js';

const page = /** @type {HTMLElement} */ (document.getElementById('page'));
/** @type {() => void} */
let leave = () => {};

async function here() {
  leave();
  leave = () => {};
  const job = new URLSearchParams(location.hash.slice(1)).get('job');
  try {
    leave = job ? await deskPage(page, job) : await startPage(page);
  } catch (e) {
    if (!(e instanceof Refused)) throw e;
    show(
      page,
      el(
        'main',
        { class: 'start' },
        el('h1', {}, 'coaming'),
        e.words.map((w) => el('p', { role: 'alert' }, w)),
        el('p', {}, el('a', { href: '#' }, '←')),
      ),
    );
  }
}

window.addEventListener('hashchange', here);
here();
