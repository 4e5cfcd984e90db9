/** The few measures that suit a label, one press away; all others stand behind "other measure". */

import { el, setAttribute } from "./dom.js";
import { nearest } from "./first_amount.js";
import { nameOf } from "./ways.js";

/**
 * Return the choice.
 *
 * @param {object} page
 * @param {(measure: string) => void} onChoose
 * @returns {{element: HTMLElement, refresh: (panel: object, chosen: string) => void}}
 */
export function nearChoice(page, onChoose) {
  const element = el("div", { class: "near", role: "group", "aria-label": page.voice.t("amount.near") });
  let known = ""; // trying measures is too slow for each press of the stepper

  function refresh(panel, chosen) {
    const { food, amount } = page.store.state;
    const now = JSON.stringify([panel.serving, food, amount.cooked]);
    if (now !== known) element.replaceChildren(...nearest(page, panel).map(chip));
    known = now;
    for (const one of element.children) setAttribute(one, "aria-pressed", String(one.dataset.measure === chosen));
  }

  function chip(id) {
    const props = { type: "button", class: "tile chip", data: { measure: id }, on: { click: () => onChoose(id) } };
    return el("button", props, el("span", { text: nameOf(page, id, 1) }));
  }

  return { element, refresh };
}
