/** The measures to choose from, as buttons: hands drawn, kitchen and package in words. */

import { drawing, el, setAttribute } from "./dom.js";
import { lacking } from "./first_amount.js";
import { isDrawn, nameOf, waysToSay } from "./ways.js";

/**
 * Return the choice.
 *
 * @param {object} page
 * @param {(measure: string) => void} onChoose
 * @returns {{element: HTMLElement, refresh: (panel: object, chosen: string) => void}}
 */
export function measureChoice(page, onChoose) {
  const { t } = page.voice;
  const element = el("div", { class: "measures", id: "measures" });
  let tiles = new Map();
  let known = ""; // what the tiles were built for: trying every measure is too slow for each press of the stepper

  function rebuild(panel) {
    const groups = waysToSay(page, panel);
    const focused = document.activeElement.dataset.measure;
    tiles = new Map();
    const titles = { hands: t("amount.hands"), kitchen: t("amount.kitchen"), pack: t("amount.pack") };
    const parts = Object.entries(groups).map(([name, ids]) => {
      for (const id of ids) tiles.set(id, tile(id, lacking(page, panel, id)));
      const row = el("div", { class: `tiles ${name}` }, ...ids.map((id) => tiles.get(id)));
      return el(
        "div",
        { role: "group", "aria-label": titles[name] },
        el("p", { class: "tiles-title", text: titles[name], "aria-hidden": "true" }),
        row,
      );
    });
    element.replaceChildren(...parts);
    tiles.get(focused)?.focus();
  }

  function tile(id, lack) {
    const name = nameOf(page, id, 1);
    const props = {
      type: "button",
      class: lack ? "tile is-lacking" : "tile",
      "aria-label": lack ? `${name} (${t(`amount.needs_${lack}`)})` : null,
      data: { measure: id },
      on: { click: () => onChoose(id) },
    };
    return el(
      "button",
      props,
      isDrawn(page, id) && drawing(id),
      el("span", { class: "tile-name", text: name }),
      lack && el("span", { class: "small", "aria-hidden": "true", text: t(`amount.needs_${lack}`) }),
    );
  }

  function refresh(panel, chosen) {
    const { food, amount } = page.store.state;
    const now = JSON.stringify([panel.serving, food, amount.cooked]);
    if (now !== known) rebuild(panel);
    known = now;
    for (const [id, button] of tiles) setAttribute(button, "aria-pressed", String(id === chosen));
  }

  return { element, refresh };
}
