// The first page: what is in the folder, and how a boat or a job begins.

import { button, dialog, el, field, show } from './dom.js';
import { who } from './store.js';
import { ask, Refused } from './talk.js';
import { T } from './texts.js';

/** @typedef {import('./wire').FolderRow} FolderRow */

/**
 * @param {HTMLElement} page
 * @returns {Promise<() => void>}
 */
export async function startPage(page) {
  document.title = T.name;
  const folder = await ask('start.look', {});
  const says = el('p', { role: 'status', class: 'says' });
  show(
    page,
    el(
      'main',
      { class: 'start' },
      el('header', {}, el('h1', {}, T.name), el('p', { class: 'what' }, T.what)),
      el('p', { class: 'folder' }, `${T.start.folder}: ${folder.name}`),
      folder.jobs.length + folder.hulls.length === 0
        ? el('p', { class: 'empty' }, T.start.none)
        : null,
      el(
        'div',
        { class: 'begin' },
        button(T.start.newBoat, () => newBoat(says), { class: 'main' }),
        el('span', { class: 'hint' }, T.start.newBoatHint),
      ),
      says,
      folder.jobs.length ? el('h2', {}, T.start.jobs) : null,
      el(
        'ul',
        { class: 'cards' },
        folder.jobs.map((job) => jobCard(job)),
      ),
      folder.hulls.length ? el('h2', {}, T.start.boats) : null,
      el(
        'ul',
        { class: 'cards' },
        folder.hulls.map((hull) => hullCard(hull)),
      ),
    ),
  );
  return () => {};
}

/** @param {import('./wire').JobCard} job */
function jobCard(job) {
  const state = /** @type {keyof typeof T.states} */ (job.state);
  return el(
    'li',
    { class: `card ${job.state}` },
    el(
      'a',
      { href: `#job=${encodeURIComponent(job.file)}`, class: 'card-link' },
      el('strong', {}, job.name),
      el('span', {}, job.boat),
      el('span', { class: `mark ${job.state}` }, T.states[state]),
      el('span', { class: 'stands' }, job.words),
    ),
    button(
      T.start.variant,
      () => named(T.start.variant, `${job.name}, variant`, 'start.variant', job.file),
      {
        'aria-label': `${T.start.variant}: ${job.name}`,
      },
    ),
  );
}

/** @param {import('./wire').HullCard} hull */
function hullCard(hull) {
  return el(
    'li',
    { class: 'card' },
    el('strong', {}, hull.words),
    el('span', { class: 'hint' }, hull.file),
    button(T.start.newJob, () => named(T.start.newJob, '', 'start.new_job', hull.file), {
      'aria-label': `${T.start.newJob}: ${hull.words}`,
    }),
    button(
      T.start.copyBoat,
      () =>
        named(
          T.start.copyBoat,
          `${hull.words}, sister`,
          'start.copy_boat',
          hull.file,
          T.start.sister,
        ),
      { 'aria-label': `${T.start.copyBoat}: ${hull.words}` },
    ),
  );
}

/** @param {string} job */
function open(job) {
  location.hash = `job=${encodeURIComponent(job)}`;
}

/**
 * Ask for a name, then make something of a file.
 * @param {string} title
 * @param {string} name
 * @param {'start.variant' | 'start.new_job' | 'start.copy_boat'} command
 * @param {string} file
 * @param {string} [hint]
 */
function named(title, name, command, file, hint = '') {
  dialog(title, (done) => {
    const asked = field(T.start.name, { value: name, required: true });
    const says = el('p', { role: 'alert', class: 'bad' });
    const form = el(
      'form',
      {
        onsubmit: async (/** @type {Event} */ e) => {
          e.preventDefault();
          try {
            const made = await ask(command, { file, name: asked.input.value });
            done();
            open(made.job);
          } catch (x) {
            if (!(x instanceof Refused)) throw x;
            says.textContent = x.message;
          }
        },
      },
      hint ? el('p', {}, hint) : null,
      asked.row,
      says,
      el(
        'div',
        { class: 'buttons' },
        el('button', { class: 'main' }, T.start.make),
        button(T.start.cancel, done),
      ),
    );
    return [form];
  });
}

/** @param {HTMLElement} says */
function newBoat(says) {
  dialog(T.start.newBoat, (done) => {
    const t = T.start;
    const f = {
      boat: field(t.boat, { name: 'boat', required: true }),
      place: field(t.place, { name: 'place', value: t.placeExample, required: true }),
      site: field(t.site, { name: 'site', options: Object.entries(T.sites) }),
      length: field(t.length, {
        name: 'length',
        mode: 'decimal',
        hint: t.lengthHint,
        required: true,
      }),
      breadth: field(t.breadth, { name: 'breadth', mode: 'decimal', required: true }),
      height: field(t.height, { name: 'height', mode: 'decimal', required: true }),
      hatch: field(t.hatch, { name: 'hatch', value: t.hatchExample, required: true }),
      face: field(t.face, { name: 'face', options: Object.entries(T.faces) }),
      throat: field(t.throat, { name: 'throat', mode: 'decimal', required: true }),
      corner_radius: field(t.round, { name: 'corner_radius', value: '0', mode: 'decimal' }),
      how: field(t.how, {
        name: 'how',
        options: [
          ['tape', 'tape (±2 mm)'],
          ['stick', 'stick (±1 mm)'],
          ['drawing', 'drawing (±20 mm)'],
          ['guess', 'guess (±50 mm)'],
        ],
      }),
      by: field(t.by, { name: 'by', value: who.get() }),
    };
    const sides = el('div', { class: 'fields' });
    const four = () => {
      const face = /** @type {keyof typeof t.across} */ (f.face.input.value);
      const [a, b] = t.across[face];
      const [p, q] = t.from[face];
      const made = {
        hatch_first: field(a, { name: 'hatch_first', mode: 'decimal', required: true }),
        hatch_second: field(b, { name: 'hatch_second', mode: 'decimal', required: true }),
        from_first: field(p, { name: 'from_first', mode: 'decimal', hint: t.middle }),
        from_second: field(q, { name: 'from_second', mode: 'decimal', hint: t.middle }),
      };
      show(sides, ...Object.values(made).map((x) => x.row));
      return made;
    };
    let hatch = four();
    f.face.input.addEventListener('change', () => {
      hatch = four();
    });
    const bad = el('p', { role: 'alert', class: 'bad' });
    const begin = async (/** @type {Event} */ e) => {
      e.preventDefault();
      who.set(f.by.input.value);
      const told = Object.fromEntries(
        Object.entries({ ...f, ...hatch }).map(([k, x]) => [k, x.input.value]),
      );
      try {
        const made = await ask('start.new_boat', /** @type {any} */ (told));
        done();
        open(made.job);
        says.textContent = made.words;
      } catch (x) {
        if (!(x instanceof Refused)) throw x;
        bad.textContent = x.message;
        bad.focus();
      }
    };
    return [
      el(
        'form',
        { class: 'wide', onsubmit: begin },
        el('div', { class: 'fields' }, f.boat.row, f.place.row, f.site.row),
        el(
          'fieldset',
          {},
          el('legend', {}, t.inside),
          el('div', { class: 'fields' }, f.length.row, f.breadth.row, f.height.row),
        ),
        el('div', { class: 'fields' }, f.hatch.row, f.face.row),
        el(
          'fieldset',
          {},
          el('legend', {}, t.clear),
          sides,
          el('div', { class: 'fields' }, f.corner_radius.row, f.throat.row),
        ),
        el('div', { class: 'fields' }, f.how.row, f.by.row),
        bad,
        el(
          'div',
          { class: 'buttons' },
          el('button', { class: 'main' }, t.begin),
          button(t.cancel, done),
        ),
      ),
    ];
  });
}
