/** Addresses of the steps and the places, so that the phone's own Back goes one step back and never out of the app. */

const STEPS = ["label", "check", "amount"];

/** Return the address of a step; the first one has the bare address. */
export function stepAddress(step) {
  return step === STEPS[0] ? "" : `#/${step}`;
}

/** Go to a place from anywhere; "label" is the step that the shopper is at. */
export function goTo(name) {
  location.hash = `/${name}`;
}

/**
 * Return what an address says.
 *
 * @param {string} hash
 * @returns {{name: string, part: string, step: string | null} | null} `name`: the place, "label" for the steps;
 *   `part`: what is to be shown of it; `step`: the one that is named. Null for an address inside the page, as the skip
 *   link's.
 */
export function readAddress(hash) {
  if (hash === "" || hash === "#") return { name: "label", part: "", step: STEPS[0] };
  const [, name, part = ""] = /^#\/(\w+)(?:\/([\w-]+))?/.exec(hash) ?? [];
  if (!name) return null;
  const step = STEPS.includes(name) && name !== STEPS[0] ? name : null;
  return { name: step ? "label" : name, part, step };
}

/** Write the step into the address: as another entry of the history, or in place of the one of now. */
export function writeStep(step, { anew = false } = {}) {
  const address = stepAddress(step);
  if (location.hash === address) return;
  history[anew ? "pushState" : "replaceState"](null, "", address || location.pathname + location.search);
}
