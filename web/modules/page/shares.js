/** Three yardsticks beside the numbers: carbohydrate choices, the day's sodium, and the meal plan where there is one. */

import { el } from "./dom.js";
import { rangeBar } from "./range_bar.js";

/** Return the yardsticks; each is shown only where its number is known. */
export function shares(page) {
  const { t, number } = page.voice;
  const { carb_choice: choice, day_sodium: day } = page.facts.dietRules;
  const choices = yardstick();
  const sodium = yardstick();
  const meal = yardstick();
  const element = el("div", { class: "shares" }, choices.element, sodium.element, meal.element);

  function show({ carb_choices: carbs, day_sodium_percent: ofDay, meal_carbohydrate_percent: ofMeal, plan }) {
    choices.show(carbs, carbs && t("numbers.choices", { count: carbs.value, grams: choice.g }), 1);
    sodium.show(
      ofDay,
      ofDay && t("numbers.day_sodium", { day: number(plan.day_sodium_mg ?? day.mg) }),
      0,
      "%",
      100,
    );
    meal.show(
      ofMeal,
      ofMeal && t("numbers.meal", { plan: number(plan.meal_carbohydrate_g ?? 0) }),
      0,
      "%",
      100,
    );
  }

  function yardstick() {
    const value = el("span", { class: "value" });
    const words = el("span", { class: "of" });
    const range = el("span", { class: "range" });
    const bar = rangeBar();
    const row = el("div", { class: "share" }, el("p", {}, value, " ", words), bar.element, range);
    const fill = (share, said, decimals, unit = "", full = null) => {
      row.hidden = !share;
      if (!share) return;
      const write = (amount) => `${number(amount, decimals)}${unit && ` ${unit}`}`;
      value.textContent = write(share.value);
      words.textContent = said;
      const [low, high] = [number(share.low, decimals), write(share.high)];
      range.textContent =
        number(share.low, decimals) === number(share.high, decimals) ? "" : t("numbers.range", { low, high });
      bar.element.hidden = full === null;
      if (full !== null) bar.show(share, null, full);
    };
    return { element: row, show: fill };
  }

  return { element, show };
}
