/** Dry or cooked: whether the answer changes the numbers of a label's food. */

import { measuredDry } from "../bridges.js";
import { findFood } from "../foods.js";
import { householdMl, servingGrams } from "../panel.js";
import { labelUnits } from "../rules.js";

/** Tell whether an amount in `measure` is another one dry than cooked, so that it must be asked which is meant. */
export function cookingMatters(page, panel, measure, food = page.store.state.food) {
  if ("as_prepared" in (panel?.columns ?? {})) return true; // the label has other numbers for it
  if (measuredDry(page.facts, measure)) return false;
  const known = knownFood(page, food || panel?.food);
  return known ? Boolean(known.cookedPerDry) : isSoldDry(page, panel) || looksSoldDry(page.facts, panel);
}

/** Tell whether the label itself says that it speaks of the dry food. */
function isSoldDry(page, panel) {
  const words = (panel?.serving.text ?? "").toLowerCase().match(/\p{L}+/gu) ?? [];
  return words.some((one) => page.facts.amountWords.dry.includes(one));
}

/** Tell whether the numbers are those of a dry staple, such as rice, pasta or oats: starch by weight, and no flakes. */
export function looksSoldDry(facts, panel) {
  const looks = facts.foods.dry_staple;
  const { energy, fat, carbohydrate } = panel?.nutrients ?? {};
  const grams = panel && servingGrams(facts, panel.serving);
  if (!grams || [energy, fat, carbohydrate].some((one) => (one?.value ?? null) === null)) return false;
  const within = ([low, high], value) => low <= value && value <= high;
  const volume = householdMl(facts, panel.serving);
  const heavy = volume ? grams / volume >= looks.g_per_ml_at_least : isWeighed(facts, panel.serving) && grams >= looks.g_by_weight_at_least;
  return (
    heavy &&
    within(looks.kcal_per_g, energy.value / grams) &&
    within(looks.carbohydrate_share, carbohydrate.value / grams) &&
    fat.value / grams <= looks.fat_share_at_most
  );
}

/** Tell whether the serving is said by weight alone: "2 oz (56 g)", or "56 g". */
function isWeighed(facts, { household_unit: unit }) {
  return !unit.value || labelUnits(facts).g.has(unit.value);
}

/** Return the food of that name, or null. */
export function knownFood(page, name) {
  try {
    return name ? findFood(page.facts, name, page.voice.lang) : null;
  } catch {
    return null; // the portion tells what is wrong with the name
  }
}
