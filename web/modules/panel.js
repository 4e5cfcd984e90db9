/**
 * What a Nutrition Facts panel says. A panel here is the JSON of the contract, read by `panel_json.js`:
 * every field of the serving is `{value, state}`, every nutrient `{value, unit, percent_dv, less_than, state}`.
 */

import { exactThirds } from "./numbers.js";
import { labelUnits, nutrients, printedInterval } from "./rules.js";

/** The nutrients that the working shows. */
export const CORE = ["energy", "fat", "sodium", "carbohydrate"];

/** What every full panel prints since 2016 (21 CFR 101.9(c)); a panel names each, printed or not. */
export const MANDATORY = [
  ...["energy", "fat", "saturated_fat", "trans_fat", "cholesterol", "sodium", "carbohydrate", "fiber"],
  ...["total_sugars", "added_sugars", "protein", "vitamin_d", "calcium", "iron", "potassium"],
];

/** Return the household amount with thirds in full (0.667 is 2/3), or null. */
export function householdCount(serving) {
  const { value } = serving.household_amount;
  return value ? exactThirds(value) : null;
}

/** Return the household measure in label millilitres, or null when it is not a volume. */
export function householdMl(facts, serving) {
  return householdIn(labelUnits(facts).ml, serving);
}

/** Return the weight of one serving in grams: the metric amount, else the household ounces; or null. */
export function servingGrams(facts, serving) {
  if (serving.metric_unit.value === "g") return serving.metric_amount.value;
  return householdIn(labelUnits(facts).g, serving);
}

/** Return one serving in label millilitres: the household measure, else the metric amount; or null. */
export function servingMl(facts, serving) {
  const metric = serving.metric_unit.value === "ml" ? serving.metric_amount.value : null;
  return householdMl(facts, serving) ?? metric;
}

/** Return the amounts in one serving that may be printed as this nutrient is, or null when it is not printed. */
export function intervalOf(facts, id, declared) {
  if (declared === undefined || declared.value === null) return null;
  return printedInterval(facts, id, declared.value, declared.less_than);
}

/** Return `[id, declared]` for each nutrient with a printed amount, in the order of a panel. */
export function printed(facts, column) {
  const ids = [...nutrients(facts).keys()];
  return ids.filter((id) => (column[id]?.value ?? null) !== null).map((id) => [id, column[id]]);
}

function householdIn(units, serving) {
  const each = units.get(serving.household_unit.value);
  const count = householdCount(serving);
  return each && count ? each * count : null;
}
