/** Answers on their way: each is kept on the phone until the service has taken it, and counts once however often it is sent. */

import { ask } from "./api.js";
import { change, mine, partIn } from "./mine.js";

/** Put an answer among those that wait; another one to the same path takes its place. */
export function put(code, path, body) {
  const { phone, waiting } = partIn(code);
  change(code, { waiting: { ...waiting, [path]: { phone, ...body } } });
}

/** Tell whether an answer to `path` still waits. */
export function waits(code, path) {
  return path in (mine().joined[code]?.waiting ?? {});
}

/**
 * Send what waits of a tour, one after the other.
 *
 * @param {object} page
 * @param {string} code
 * @param {(path: string, answer: object | null, error: Error | null) => void} told Called with each answer that the
 *   service took or refused for good.
 * @throws {TourError} When there is no signal, or the service is busy: what is left goes on waiting.
 */
export async function flush(page, code, told) {
  for (const [path, body] of Object.entries(mine().joined[code]?.waiting ?? {})) {
    let [answer, refusal] = [null, null];
    try {
      answer = (await ask(page, `join/${code}/${path}`, { method: "PUT", body })).data;
    } catch (error) {
      if (error.name !== "TourError" || error.passing) throw error;
      refusal = error;
    }
    letGo(code, path, body);
    told(path, answer, refusal);
  }
}

/**
 * Send what waits of every tour, from wherever in the app the shopper is; what cannot go yet goes on waiting.
 *
 * @returns {Promise<number>} In how many seconds a busy service may be asked again; 0 where it was not busy.
 */
export async function flushAll(page) {
  for (const code of Object.keys(mine().joined)) {
    try {
      await flush(page, code, () => {});
    } catch (error) {
      if (error.name !== "TourError") throw error;
      if (error.wait) return error.wait;
    }
  }
  return 0;
}

/** Let an answer go that the service has seen, unless the person has given another one meanwhile. */
function letGo(code, path, sent) {
  const waiting = { ...mine().joined[code]?.waiting };
  if (JSON.stringify(waiting[path]) !== JSON.stringify(sent)) return;
  delete waiting[path];
  change(code, { waiting });
}
