/** The frame that every step shares: a section with a numbered heading. */

import { el } from "./dom.js";

/**
 * Return a section of the page.
 *
 * @param {string} id Its anchor, and the word for it in the list of steps.
 * @param {number} number Its place in the flow.
 * @param {string} title
 * @param {...(Node | string)} body
 */
export function step(id, number, title, ...body) {
  const heading = el(
    "h2",
    { id: `${id}-title`, tabindex: "-1" },
    el("span", { class: "tag", "aria-hidden": "true", text: number }),
    title,
  );
  return el("section", { id, class: "step", "aria-labelledby": `${id}-title` }, heading, ...body);
}

/** Return a step that has nothing to show yet. */
export function emptyStep(id, number, title) {
  return { section: step(id, number, title), refresh() {} };
}
