// Talking to the server: typed commands, and what it tells as it happens.

import { T } from './texts.js';

/** @typedef {import('./wire').Commands} Commands */

/** Words the server refuses with: to be shown as they are. */
export class Refused extends Error {
  /** @param {string[]} words */
  constructor(words) {
    super(words.join('\n'));
    this.words = words;
  }
}

/**
 * Ask for a command of a panel.
 * @template {keyof Commands} C
 * @param {C} command
 * @param {Commands[C]['ask']} ask
 * @param {string} [job]
 * @returns {Promise<Commands[C]['told']>}
 */
export async function ask(command, ask, job = '') {
  let answer;
  try {
    answer = await fetch(`/do/${command.replace('.', '/')}`, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify({ job, ask }),
    });
  } catch {
    throw new Refused([T.serverGone]);
  }
  return told(answer);
}

/** @param {Response} answer */
async function told(answer) {
  let body;
  try {
    body = await answer.json();
  } catch {
    throw new Refused([T.serverGone]);
  }
  if (!answer.ok) throw new Refused(Array.isArray(body.words) ? body.words : [T.serverGone]);
  return body;
}

/**
 * The last answer of a job.
 * @param {string} job
 * @returns {Promise<{ revision: string, parts: Partial<import('./wire').Parts>,
 *   work: import('./wire').WorkRow }>}
 */
export async function answerOf(job) {
  let answer;
  try {
    answer = await fetch(`/answer?job=${encodeURIComponent(job)}`);
  } catch {
    throw new Refused([T.serverGone]);
  }
  return told(answer);
}

/**
 * Listen to what happens to a job; the browser tries again by itself when the server was away.
 * @param {string} job
 * @param {(event: any) => void} heard
 * @param {(there: boolean) => void} there
 */
export function listen(job, heard, there) {
  const source = new EventSource(`/events?job=${encodeURIComponent(job)}`);
  source.onmessage = (e) => heard(JSON.parse(e.data));
  source.onopen = () => there(true);
  source.onerror = () => there(false);
  return () => source.close();
}

/**
 * Send a photo.
 * @param {string} job
 * @param {Blob} photo
 * @returns {Promise<{ name: string }>}
 */
export async function sendPhoto(job, photo) {
  let answer;
  try {
    answer = await fetch(`/photo/${encodeURIComponent(job)}`, { method: 'POST', body: photo });
  } catch {
    throw new Refused([T.serverGone]);
  }
  return told(answer);
}
