/** Patience with a busy service: how long it asks to be left alone. */

/** By chance so many seconds are added to a wait, and no more than its own length: 50 phones must not come back at once. Judgement. */
const SPREAD = 10;

/**
 * Return after how many seconds a busy service may be asked again; 0 where the answer does not say that it is busy.
 *
 * @param {number} status
 * @param {(name: string) => string | null} header Gives a header of the answer.
 * @returns {number}
 */
export function waitAsked(status, header) {
  const said = header("Retry-After");
  if ((status !== 503 && status !== 429) || !said) return 0;
  const now = Date.parse(header("Date")) || Date.now(); // by the service's own clock, where it tells
  const seconds = /^\d+$/.test(said) ? Number(said) : (Date.parse(said) - now) / 1000;
  if (Number.isNaN(seconds)) return 0;
  const least = Math.max(1, seconds);
  return least + Math.random() * Math.min(least, SPREAD);
}
