/** A live view by asking again and again; an answer that nothing has changed costs next to nothing. */

import { TourError } from "./api.js";

/** Between two looks, in milliseconds, with a signal and without. Judgement: as people wait for a reveal. */
const [PACE, PATIENT] = [2000, 5000];

/**
 * Look until told to stop, at once when the signal or the page comes back.
 *
 * @param {() => Promise<void>} look
 * @param {(error: TourError | null) => void} tell Called after each look with what went wrong, or null.
 * @returns {{now: () => Promise<void>, stop: () => void}}
 */
export function live(look, tell) {
  let timer = null;
  let stopped = false;
  let looking = null;

  function now() {
    clearTimeout(timer);
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
      pace = PATIENT;
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
