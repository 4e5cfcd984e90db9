/** The sums of a meal: four numbers large, each with its range in words and as a bar. */

import { el } from "../page/dom.js";
import { rangeWords, SHOWN, written } from "../page/figures.js";
import { rangeBar } from "../page/range_bar.js";

/** Return the cards with `show(sums)`, which takes what `addUp` returns. */
export function mealTotals(page) {
  const { t, word } = page.voice;
  const cards = SHOWN.map((id) => {
    const value = el("span", { class: "value" });
    const range = el("p", { class: "range" });
    const note = el("p", { class: "small" });
    const bar = rangeBar();
    const unit = page.unitOf(id);
    const big = el("p", { class: "big" }, value, unit && el("span", { class: "unit", text: ` ${unit}` }));
    const element = el("div", { class: "card" }, el("h3", { text: word(`nutrient.${id}`) }), big, bar.element, range, note);
    return { id, element, value, range, note, bar };
  });

  function show(sums) {
    for (const { id, element, value, range, note, bar } of cards) {
      const sum = sums.get(id);
      element.classList.toggle("is-doubtful", sum?.state === "check");
      bar.element.hidden = !sum;
      value.textContent = sum ? written(page, id, sum.range.value, "") : "–";
      if (!sum) continue;
      bar.show(sum.range, null);
      range.textContent = rangeWords(page, id, sum.range);
      note.textContent = sum.missing ? t("meal.missing", { count: sum.missing }) : "";
    }
  }

  return { element: el("div", { class: "cards" }, ...cards.map(({ element }) => element)), show };
}
