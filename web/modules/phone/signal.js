/** Whether the service can be reached right now. */

import { waitAsked } from "./patience.js";

/** A signal that gives no answer for so long is treated as none: people in an aisle give up about then. Judgement. */
export const HANG_MS = 4000;

/**
 * Ask the service for a sign of life.
 *
 * @returns {Promise<boolean>} True also where it says that it is busy; false with no signal, with one that hangs, and
 *   behind a network's sign-in page.
 */
export async function hasSignal() {
  try {
    const response = await fetch("api/health", { cache: "no-store", signal: AbortSignal.timeout(HANG_MS) });
    if (waitAsked(response.status, (name) => response.headers.get(name))) return true;
    return response.ok && (await response.json()).status === "ok";
  } catch {
    return false;
  }
}
