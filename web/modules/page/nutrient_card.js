/** One of the four numbers, as a card. */

import { nutrients } from "../rules.js";
import { el, write } from "./dom.js";
import { decimalsOf, rangeWords } from "./figures.js";
import { rangeBar } from "./range_bar.js";

/**
 * Return the card of a nutrient: its number large, the label's serving beside it, the range below in words and as a bar.
 *
 * @param {object} page
 * @param {string} id
 * @param {() => string} absent What to say where the label does not tell it.
 * @returns {{id: string, element: HTMLElement, show: (eaten: object | undefined, printed: object) => void}}
 */
export function nutrientCard(page, id, absent = () => page.voice.t("numbers.missing")) {
  const { t, word, number } = page.voice;
  const unit = page.unitOf(id);
  const value = el("span", { class: "value" });
  const range = el("p", { class: "range" });
  const serving = el("p", { class: "serving" });
  const bar = rangeBar();
  const big = el("p", { class: "big" }, value, unit && el("span", { class: "unit", text: ` ${unit}` }));
  const element = el(
    "div",
    { class: `card ${id}` },
    el("h3", { text: word(`nutrient.${id}`) }),
    big,
    bar.element,
    range,
    serving,
  );
  const { daily_value: day = 0 } = nutrients(page.facts).get(id);
  const trifle = (day * page.facts.labelRules.guide.low_at_most) / 100; // less than this never fills the bar
  const withUnit = (amount) => [amount, unit].filter(Boolean).join(" ");

  function show(eaten, printed) {
    element.classList.toggle("is-missing", !eaten);
    element.classList.toggle("is-doubtful", eaten?.state === "check");
    value.textContent = eaten ? number(eaten.value, decimalsOf(page, id)) : "–";
    bar.element.hidden = !eaten;
    if (!eaten) {
      range.textContent = absent();
      write(serving, "");
      return;
    }
    range.textContent = rangeWords(page, id, eaten) || t("numbers.exact");
    const each = `${printed.less_than ? "<" : ""}${number(printed.value, 1)}`;
    write(serving, t("numbers.serving", { each: withUnit(each) }));
    bar.show(eaten, printed.value, trifle);
  }

  return { id, element, show };
}
