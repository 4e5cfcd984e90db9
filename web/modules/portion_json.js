/** A portion as the JSON object of the contract, numbers rounded as people read them. */

import { amountText } from "./amounts.js";
import { cautions, insights } from "./insight.js";
import { roundHalfUp } from "./numbers.js";
import { nutrients } from "./rules.js";
import { working } from "./working.js";

/**
 * Return `portion` with insights, working and cautions in the words of `lang`.
 *
 * @param {import("./facts.js").Facts} facts
 * @param {object} portion As `workOut` returns it.
 * @param {string} lang
 * @returns {object}
 */
export function portionToJson(facts, portion, lang) {
  const { amount } = portion;
  const nutrientRows = [...portion.nutrients].map(([id, eaten]) => [id, nutrientJson(facts, id, eaten)]);
  return {
    amount: { ...amount, text: amountText(facts, amount, lang) },
    food: portion.food?.id ?? null,
    coverage: portion.coverage,
    servings: { ...rounded(portion.servings, 2), state: portion.state },
    grams: rounded(portion.grams, 0),
    nutrients: Object.fromEntries(nutrientRows),
    carb_choices: rounded(portion.carbChoices, 1),
    day_sodium_percent: rounded(portion.daySodiumPercent, 0),
    meal_carbohydrate_percent: rounded(portion.mealCarbohydratePercent, 0),
    insights: insights(facts, portion, lang).map(insightJson),
    working: working(facts, portion, lang),
    cautions: cautions(facts, lang),
  };
}

function nutrientJson(facts, id, { range, unit, percent, state }) {
  return {
    ...rounded(range, nutrients(facts).get(id).decimals),
    unit,
    percent_dv: percent === null ? null : roundHalfUp(percent),
    state,
  };
}

function insightJson({ values, ...insight }) {
  const printed = Object.entries(values).map(([key, value]) => [key, roundHalfUp(value, 1)]);
  return { ...insight, values: Object.fromEntries(printed) };
}

function rounded(range, decimals) {
  if (range === null) return null;
  const { value, low, high } = range;
  return {
    value: roundHalfUp(value, decimals),
    low: roundHalfUp(low, decimals),
    high: roundHalfUp(high, decimals),
  };
}
