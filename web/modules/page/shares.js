/** Three yardsticks beside the numbers: carbohydrate choices, the day's sodium, and the meal plan where there is one. */

import { el, write } from "./dom.js";
import { rangeBar } from "./range_bar.js";

const WHOLE = 100;

/** Return the yardsticks; each is shown only where its number is known. */
export function shares(page) {
  const { t, number } = page.voice;
  const { carb_choice: choice, day_sodium: day } = page.facts.dietRules;
  const choices = yardstick(1);
  const sodium = yardstick(0, "%");
  const meal = yardstick(0, "%");
  const element = el("div", { class: "shares" }, choices.element, sodium.element, meal.element);

  /**
   * @param {object} shared What a portion says of choices, day and meal, as JSON, and the plan as typed.
   * @param {number} carbohydrate How many grams are eaten.
   */
  function show({ carb_choices: carbs, day_sodium_percent: ofDay, meal_carbohydrate_percent: ofMeal, plan }, carbohydrate) {
    const [most, grams] = [plan.day_sodium_mg ?? day.mg, plan.meal_carbohydrate_g ?? 0];
    choices.show(carbs, carbs && t("numbers.choices", { count: carbs.value, grams: choice.g }));
    sodium.show(ofDay, t("numbers.day_sodium", { day: number(most) }));
    meal.show(ofMeal, t("numbers.meal", { plan: number(grams) }), ofMeal && besidePlan(grams - carbohydrate, ofMeal));
  }

  /** Say how much of the plan is left, or by how much it is passed; and where the range holds both, say so. */
  function besidePlan(left, { low, high }) {
    const both = low < WHOLE && WHOLE < high ? "_perhaps" : "";
    return t(`numbers.plan_${left < 0 ? "over" : "left"}${both}`, { grams: number(Math.abs(left)) });
  }

  /** One number with its range; as a share of a whole also a bar, the whole marked on it. */
  function yardstick(decimals, unit = "") {
    const value = el("span", { class: "value" });
    const words = el("span", { class: "of" });
    const range = el("span", { class: "range" });
    const beside = el("p", { class: "small", hidden: true });
    const bar = rangeBar();
    bar.element.classList.add("of-whole");
    const row = el("div", { class: "share" }, el("p", {}, value, " ", words), unit && bar.element, range, beside);
    const withUnit = (amount) => `${number(amount, decimals)}${unit && ` ${unit}`}`;

    function fill(share, said, note = "") {
      row.hidden = !share;
      if (!share) return;
      value.textContent = withUnit(share.value);
      words.textContent = said;
      const [low, high] = [number(share.low, decimals), withUnit(share.high)];
      range.textContent = low === number(share.high, decimals) ? "" : t("numbers.range", { low, high });
      write(beside, note);
      if (unit) bar.show(share, WHOLE);
    }

    return { element: row, show: fill };
  }

  return { element, show };
}
