/** What the places share: their head, and what a food is called and holds. */

import { cautions } from "../insight.js";
import { button, drawing, el } from "../page/dom.js";
import { BRIEF } from "../page/figures.js";

/**
 * Return a place's section: its heading, a sentence on what it is for, and its parts.
 *
 * @param {{id: string, title: string, hint: string}} head
 * @param {...(Node | false)} parts
 */
export function placeSection({ id, title, hint }, ...parts) {
  return el(
    "section",
    { class: id, "aria-labelledby": "place-title" },
    el(
      "div",
      { class: "place-head" },
      el("h2", { id: "place-title", tabindex: "-1", text: title }),
      el("p", { class: "hint", text: hint }),
    ),
    ...parts.filter(Boolean),
  );
}

/** Return what stands in a place while nothing is in it: a drawing, what to do, and a button that leads there. */
export function emptyPlace(picture, words, lead, act) {
  return el(
    "div",
    { class: "empty" },
    drawing(picture, "empty-drawing"),
    el("p", { text: words }),
    button(lead, act, { class: "primary" }),
  );
}

/** Return the cautions that belong beside numbers. */
export function cautionList(page, kind = "cautions") {
  const said = cautions(page.facts, page.voice.lang);
  return el("ul", { class: kind }, ...said.map((text) => el("li", { text })));
}

/** Return what a record is called. */
export function titleOf(page, { name }) {
  return name || page.voice.t("kept.unnamed");
}

/** Return a record's label in one line: "2/3 cup (55 g) · 230 calories · 37 g carbohydrate". */
export function lineOf(page, { panel }) {
  const { word, number } = page.voice;
  const said = BRIEF
    .filter((id) => (panel.nutrients[id]?.value ?? null) !== null)
    .map((id) =>
      [number(panel.nutrients[id].value, 1), page.unitOf(id), word(`nutrient.${id}`)].filter(Boolean).join(" "),
    );
  return [panel.serving.text || servingOf(panel), ...said].filter(Boolean).join(" · ");
}

function servingOf({ serving }) {
  const part = (amount, unit) => (serving[amount].value === null ? "" : `${serving[amount].value} ${serving[unit].value ?? ""}`);
  return part("household_amount", "household_unit").trim() || part("metric_amount", "metric_unit").trim();
}
