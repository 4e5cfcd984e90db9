/** Four ways to measure one's own fist, each step with its drawing. */

import { drawing, el } from "../page/dom.js";
import { uncertainty } from "../measures.js";
import { quadrature } from "../numbers.js";
import { cardScale } from "./hands_card.js";
import { sizeForm } from "./hands_form.js";
import { spreadWords } from "./hands_sizes.js";

/** Each way with the drawings of its steps, and what it asks. */
const WAYS = {
  heap: { name: "fist_ml", drawings: ["measure_heap", "measure_cup"], units: ["cup", "ml"] },
  water: { name: "fist_water_ml", drawings: ["measure_jug", "measure_dip"], units: ["ml", "cup"] },
  ruler: { name: "hand_breadth_mm", drawings: ["measure_ruler"], units: ["inch", "mm"] },
  card: { name: "hand_breadth_mm", drawings: ["measure_card"] },
};
const NOTED = ["heap", "water"];
let open = null; // survives a change of the language

/**
 * Return the choice of ways with the steps of the one that is open.
 *
 * @param {object} page
 * @param {(name: string, size: number) => void} onSize Called with the number's name in the core and the number.
 */
export function fistWays(page, onSize) {
  const { t } = page.voice;
  const panel = el("div", { class: "hand-way", id: "hand-way" });
  const tiles = Object.fromEntries(Object.keys(WAYS).map((way) => [way, tile(way)]));
  show();

  function tile(way) {
    return el(
      "button",
      {
        type: "button",
        class: "tile hand-tile",
        "aria-controls": panel.id,
        data: { way },
        on: { click: () => toggle(way) },
      },
      drawing(WAYS[way].drawings.at(-1)),
      el("span", { class: "tile-name", text: t(`hands.way.${way}`) }),
      el("span", {
        class: "small",
        text: t("hands.give_or_take", { spread: spreadWords(page, spreadOf(page, WAYS[way].name)) }),
      }),
    );
  }

  function toggle(way) {
    open = open === way ? null : way;
    show();
  }

  function show() {
    for (const [way, button] of Object.entries(tiles))
      button.setAttribute("aria-expanded", String(way === open));
    panel.hidden = !open;
    panel.replaceChildren(...(open ? [steps(open)] : []));
  }

  function steps(way) {
    const { name, drawings } = WAYS[way];
    const items = drawings.map((picture, place) =>
      el("li", {}, drawing(picture), el("p", { text: t(`hands.step.${way}.${place + 1}`) })),
    );
    const last = el("li", { class: "hand-last" }, asked(way, (size) => onSize(name, size)));
    return el(
      "div",
      { class: "hand-steps" },
      el("h4", { text: t(`hands.way.${way}`) }),
      el("ol", {}, ...items, last),
      NOTED.includes(way) && el("p", { class: "small", text: t(`hands.note.${way}`) }),
    );
  }

  function asked(way, onOne) {
    const { name, units } = WAYS[way];
    if (way === "card") return cardScale(page, onOne);
    const labels =
      way === "water" ? [t("hands.asked.before"), t("hands.asked.after")] : [t(`hands.asked.${way}`)];
    return sizeForm(page, { name, labels, units, onSize: onOne });
  }

  const element = el("div", { class: "hand-ways" }, ...Object.values(tiles), panel);
  const close = () => {
    open = null;
    show();
  };
  return { element, close };
}

/** Return how surely a fist is known that was measured so; the core uses the same numbers. */
function spreadOf(page, name) {
  const { fist_in_water: water, hand_breadth: hand } = page.facts.measures;
  const more = { fist_ml: 0, fist_water_ml: water.cv_of_mean, hand_breadth_mm: hand.cv_of_cube }[name];
  return quadrature(uncertainty(page.facts, "own"), more);
}
