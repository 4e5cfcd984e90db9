/** What the shopper's care team set; a meal's carbohydrate has no default, for it depends on the person. */

import { PortionError } from "./errors.js";
import { say } from "./words.js";

const KEYS = ["meal_carbohydrate_g", "day_sodium_mg"];

/**
 * Return the plan with sensible numbers; a day's sodium that is not set is the Daily Value.
 *
 * @param {import("./facts.js").Facts} facts
 * @param {{meal_carbohydrate_g?: number | null, day_sodium_mg?: number | null} | null} given
 * @param {string} lang
 * @returns {{mealCarbohydrate: number | null, daySodium: number}} In g for a meal and mg for a day.
 * @throws {PortionError} `invalid_input` when a number is beyond what any care team sets.
 */
export function planFrom(facts, given, lang) {
  const faults = {};
  for (const key of KEYS) {
    const [low, high] = facts.dietRules.plan_limits[key];
    const value = given?.[key] ?? null;
    if (value !== null && !(low <= value && value <= high)) {
      faults[`plan.${key}`] = say(facts, "fault.between", lang, { low, high });
    }
  }
  if (Object.keys(faults).length) {
    throw new PortionError("invalid_input", say(facts, "error.plan_faults", lang), faults);
  }
  return {
    mealCarbohydrate: given?.meal_carbohydrate_g ?? null,
    daySodium: given?.day_sodium_mg || facts.dietRules.day_sodium.mg,
  };
}
