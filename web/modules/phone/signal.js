/** Whether the service can be reached right now. */

/** A signal that gives no answer for so long is treated as none: people in an aisle give up about then. Judgement. */
export const HANG_MS = 4000;

/**
 * Ask the service for a sign of life.
 *
 * @returns {Promise<boolean>} False with no signal, with one that hangs, and behind a network's sign-in page.
 */
export async function hasSignal() {
  try {
    const response = await fetch("api/health", { cache: "no-store", signal: AbortSignal.timeout(HANG_MS) });
    return response.ok && (await response.json()).status === "ok";
  } catch {
    return false;
  }
}
