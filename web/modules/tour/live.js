/** A live view by asking again and again; an answer that nothing has changed costs next to nothing. */

import { TourError } from "./api.js";

/** Between two looks, in milliseconds, with a signal and without. Judgement: as people wait for a reveal. */
const [PACE, PATIENT] = [2000, 5000];

/**
 * Look until told to stop, at once when the signal or the page comes back; but a busy service is left alone for as long
 * as it asks.
 *
 * @param {() => Promise<void>} look
 * @param {(error: TourError | null) => void} tell Called after each look with what went wrong, or null.
 * @returns {{now: () => Promise<void>, stop: () => void}}
 */
export function live(look, tell) {
  let timer = null;
  let stopped = false;
  let looking = null;
  let restsUntil = 0;

  async function now() {
    clearTimeout(timer);
    const left = restsUntil - performance.now();
    if (left > 0) return void (timer = setTimeout(now, left));
    looking ??= once().finally(() => (looking = null));
    return looking;
  }

  async function once() {
    let pace = PACE;
    try {
      await look();
      if (!stopped) tell(null);
    } catch (error) {
      if (!(error instanceof TourError)) throw error;
      pace = Math.max(PATIENT, error.wait * 1000);
      if (error.wait) restsUntil = performance.now() + pace;
      if (!stopped) tell(error);
      if (error.status === 401 || error.status === 404) stopped = true;
    }
    if (!stopped && !document.hidden) timer = setTimeout(now, pace);
  }

  const again = () => !document.hidden && !stopped && now();
  document.addEventListener("visibilitychange", again);
  window.addEventListener("online", again);

  function stop() {
    stopped = true;
    clearTimeout(timer);
    document.removeEventListener("visibilitychange", again);
    window.removeEventListener("online", again);
  }

  return { now, stop };
}
