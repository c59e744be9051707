// Elements built from data: words go in as text, never as markup.

/** @typedef {Node | string | number | null | undefined | false | Kid[]} Kid */

const SVG = 'http://www.w3.org/2000/svg';

/**
 * An element of the page.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag
 * @param {Record<string, any>} [props] attributes; `on...` are listeners
 * @param {...Kid} kids
 * @returns {HTMLElementTagNameMap[K]}
 */
export function el(tag, props = {}, ...kids) {
  const node = document.createElement(tag);
  dress(node, props);
  fill(node, kids);
  return node;
}

/**
 * An element of a drawing.
 * @param {string} tag
 * @param {Record<string, any>} [props]
 * @param {...Kid} kids
 * @returns {SVGElement}
 */
export function svg(tag, props = {}, ...kids) {
  const node = /** @type {SVGElement} */ (document.createElementNS(SVG, tag));
  dress(node, props);
  fill(node, kids);
  return node;
}

/**
 * @param {Element} node
 * @param {Record<string, any>} props
 */
function dress(node, props) {
  for (const [key, value] of Object.entries(props)) {
    if (value === undefined || value === null || value === false) continue;
    if (key.startsWith('on') && typeof value === 'function') {
      node.addEventListener(key.slice(2), value);
    } else if (key === 'value' && 'value' in node) {
      /** @type {any} */ (node).value = value;
    } else if (key === 'checked') {
      /** @type {any} */ (node).checked = true;
    } else {
      node.setAttribute(key, value === true ? '' : String(value));
    }
  }
}

/**
 * @param {Element} node
 * @param {Kid[]} kids
 */
function fill(node, kids) {
  for (const kid of kids) {
    if (kid === null || kid === undefined || kid === false) continue;
    if (Array.isArray(kid)) fill(node, kid);
    else node.append(kid instanceof Node ? kid : String(kid));
  }
}

/**
 * Put new content in place of the old, the focus kept on what has the same `data-key`.
 * @param {Element} host
 * @param {...Kid} kids
 */
export function show(host, ...kids) {
  const active = document.activeElement;
  const key = active && host.contains(active) ? active.getAttribute('data-key') : null;
  const scroll = host.scrollTop;
  host.replaceChildren();
  fill(host, kids);
  host.scrollTop = scroll;
  if (key !== null) {
    const again = host.querySelector(`[data-key="${CSS.escape(key)}"]`);
    if (again instanceof HTMLElement || again instanceof SVGElement)
      again.focus({ preventScroll: true });
  }
}

/**
 * A button.
 * @param {string} words
 * @param {(e: Event) => void} act
 * @param {Record<string, any>} [props]
 */
export function button(words, act, props = {}) {
  return el('button', { type: 'button', 'data-key': `b:${words}`, onclick: act, ...props }, words);
}

/** Where words to a person are seen: in the question that is open, else null. */
export function openQuestion() {
  const open = [...document.querySelectorAll('dialog[open]')].at(-1);
  return open?.querySelector('.telling') ?? null;
}

/** Words cut to a length, and seen to be cut. @param {string} words @param {number} most */
export function cut(words, most) {
  return words.length > most ? `${words.slice(0, Math.max(1, most - 1))}…` : words;
}

let fields = 0;

/**
 * A labelled field: an input, or a choice where options are given.
 * @param {string} label
 * @param {{ value?: string, name?: string, options?: [string, string][], type?: string,
 *   hint?: string, mode?: string, list?: string[], required?: boolean,
 *   change?: (value: string) => void }} [how]
 */
export function field(label, how = {}) {
  fields += 1;
  const id = `f${fields}`;
  const common = {
    id,
    name: how.name ?? '',
    'data-key': `f:${how.name ?? label}`,
    'aria-describedby': how.hint ? `${id}h` : undefined,
  };
  let input;
  if (how.options) {
    input = el(
      'select',
      common,
      ...how.options.map(([value, words]) => el('option', { value }, words)),
    );
    input.value = how.value ?? how.options[0]?.[0] ?? '';
  } else {
    input = el('input', {
      ...common,
      type: how.type ?? 'text',
      inputmode: how.mode,
      value: how.value ?? '',
      required: how.required,
      autocomplete: 'off',
    });
  }
  if (how.change) {
    const change = how.change;
    input.addEventListener('change', () => change(input.value));
  }
  const hint = how.hint ? el('span', { id: `${id}h`, class: 'hint' }, how.hint) : null;
  const row = el('div', { class: 'field' }, el('label', { for: id }, label), input, hint);
  return { row, input };
}

/**
 * A box to tick.
 * @param {string} label
 * @param {boolean} checked
 * @param {(on: boolean) => void} [change]
 */
export function tick(label, checked, change) {
  fields += 1;
  const id = `f${fields}`;
  const input = el('input', { id, type: 'checkbox', checked, 'data-key': `t:${label}` });
  if (change) input.addEventListener('change', () => change(input.checked));
  return { row: el('div', { class: 'tick' }, input, el('label', { for: id }, label)), input };
}

/**
 * A question on top of the page; `done` closes it.
 * @param {string} title
 * @param {(done: () => void) => Kid[]} content
 */
export function dialog(title, content) {
  const before = document.activeElement;
  const box = el('dialog', { 'aria-label': title });
  const done = () => {
    box.close();
    box.remove();
    document.dispatchEvent(new Event('question-closed'));
    if (before instanceof HTMLElement) before.focus();
  };
  box.addEventListener('cancel', (e) => {
    e.preventDefault();
    done();
  });
  fill(box, [
    el('h2', {}, title),
    ...content(done),
    el('div', { class: 'telling', role: 'status' }),
  ]);
  document.body.append(box);
  box.showModal();
  return done;
}
