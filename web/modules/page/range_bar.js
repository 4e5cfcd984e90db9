/** A range as a bar: the band is where the amount lies, the notch its middle, the pointer one serving of the label. */

import { el } from "./dom.js";

/** Room beyond the largest number, so that nothing touches the end. */
const ROOM = 1.08;

/** Return a bar; its words stand beside it, so screen readers pass over it. */
export function rangeBar() {
  const band = el("span", { class: "band" });
  const notch = el("span", { class: "notch" });
  const pointer = el("span", { class: "pointer" });
  const element = el(
    "div",
    { class: "bar", "aria-hidden": "true" },
    el("span", { class: "track" }),
    band,
    notch,
    pointer,
  );

  /**
   * @param {{value: number, low: number, high: number}} range
   * @param {number | null} mark Where the pointer stands; null for none.
   * @param {number} full The least that the whole bar stands for.
   */
  function show({ value, low, high }, mark, full = 0) {
    const end = Math.max(high * ROOM, (mark ?? 0) * ROOM, full) || 1;
    const at = (amount) => `${(100 * amount) / end}%`;
    band.style.left = at(low);
    band.style.width = at(high - low);
    notch.style.left = at(value);
    pointer.hidden = mark === null;
    pointer.style.left = at(mark ?? 0);
  }

  return { element, show };
}
