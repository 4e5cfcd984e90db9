/** One of the foods side by side: the number that matters large with its bar, the others small below. */

import { amountText } from "../amounts.js";
import { el } from "../page/dom.js";
import { rangeWords, SHOWN, written } from "../page/figures.js";
import { rangeBar } from "../page/range_bar.js";
import { titleOf } from "./frame.js";

/**
 * Return the row of a food.
 *
 * @param {object} page
 * @param {{food: object, amount: object, portion?: object, error?: string}} row
 * @param {string} sortBy
 * @param {number} most The largest number of all rows, which fills the bar.
 */
export function compareRow(page, { food, amount, portion, error }, sortBy, most) {
  const { t, word, lang } = page.voice;
  const title = el("h3", { text: titleOf(page, food) });
  if (!portion) return el("li", { class: "beside-row is-lacking" }, title, el("p", { class: "small", text: error }));
  const main = portion.nutrients.get(sortBy);
  const bar = rangeBar();
  if (main) bar.show(main.range, null, most);
  bar.element.hidden = !main;
  const others = SHOWN.filter((id) => id !== sortBy && portion.nutrients.has(id)).map((id) =>
    el(
      "div",
      {},
      el("dt", { text: word(`nutrient.${id}`) }),
      el("dd", { text: written(page, id, portion.nutrients.get(id).range.value) }),
    ),
  );
  const doubtful = portion.state === "check" || main?.state === "check";
  return el(
    "li",
    { class: "beside-row" },
    title,
    el("p", { class: "small", text: amountText(page.facts, amount, lang) }),
    el(
      "p",
      { class: "big" },
      el("span", { class: "value", text: main ? written(page, sortBy, main.range.value) : "–" }),
      el("span", { class: "unit", text: ` ${main ? rangeWords(page, sortBy, main.range) : t("numbers.missing")}` }),
    ),
    bar.element,
    doubtful && el("p", { class: "doubt", text: t("compare.doubtful") }),
    el("dl", { class: "others" }, ...others),
  );
}
