/**
 * The amount really eaten: servings, then nutrients, each with a low-high range.
 *
 * Ranges follow the GUM (JCGM 100:2008): independent standard uncertainties in quadrature. The range
 * is value +- k u with k = 1 (about two times in three) or k = 2, never below 0. `shelfcheck/portion.py`
 * does the same sums in the same order; the tests hold the two equal.
 */

import { amountFrom } from "./amounts.js";
import { buildBridge, gramsPerOne, relativeUncertainty, servingsPerOne } from "./bridges.js";
import { refuse } from "./check.js";
import { gather, PortionError } from "./errors.js";
import { findFood } from "./foods.js";
import { handsFrom } from "./measures.js";
import { quadrature } from "./numbers.js";
import { intervalOf, printed, servingGrams } from "./panel.js";
import { panelFromJson } from "./panel_json.js";
import { planFrom } from "./plan.js";
import { portionToJson } from "./portion_json.js";
import { metricStep, middle, nutrients, percentDv, standardUncertainty } from "./rules.js";
import { say, spoken } from "./words.js";

const COVERAGES = [1, 2];

/**
 * @typedef {object} Given What the service's `POST /api/portions` takes, and the language.
 * @property {object} panel A panel as JSON.
 * @property {import("./amounts.js").Amount} amount
 * @property {string | null} [food] A food's id or name; left out, the panel's own.
 * @property {Object<string, number> | null} [hands] Sizes by name, such as `{fist_ml: 300}`.
 * @property {{meal_carbohydrate_g?: number | null, day_sodium_mg?: number | null} | null} [plan]
 * @property {1 | 2} [coverage]
 * @property {string} [lang] "en" or "es".
 */

/**
 * Return the portion as the service answers it: numbers rounded as people read them, with the working.
 *
 * @param {import("./facts.js").Facts} facts
 * @param {Given} given
 * @returns {object} The JSON of the contract.
 * @throws {PortionError} Telling what to correct or to supply.
 */
export function buildPortion(facts, given) {
  return portionToJson(facts, workOut(facts, given), spoken(given.lang));
}

/**
 * Return the portion before rounding: `servings` and `grams` as ranges, `nutrients` as a map of each
 * nutrient eaten, and the shares of a choice, a day and a meal.
 *
 * @param {import("./facts.js").Facts} facts
 * @param {Given} given
 * @throws {PortionError} As `buildPortion`.
 */
export function workOut(facts, given) {
  const lang = spoken(given.lang);
  const coverage = given.coverage ?? 1;
  const [panel, amount, hands, plan] = gather(
    (fields) => new PortionError("invalid_input", say(facts, "error.request_faults", lang), fields),
    () => refuse(facts, panelFromJson(facts, given.panel, lang), lang),
    () => amountFrom(facts, given.amount, lang),
    () => handsFrom(facts, given.hands, lang),
    () => planFrom(facts, given.plan, lang),
    () => checkCoverage(facts, coverage, lang),
  );
  const named = given.food || panel.food;
  const food = named ? findFood(facts, named, lang) : null;
  const bridge = buildBridge(facts, amount, panel.serving, food, hands, lang);
  const servings = amount.count * servingsPerOne(bridge);
  const spread = relativeUncertainty(bridge);
  const shared = { panel, amount, food, plan, bridge, coverage, spread, state: servingState(panel.serving) };
  const eaten = nutrientsEaten(facts, shared, servings);
  return {
    ...shared,
    servings: range(servings, servings * spread, coverage),
    grams: gramsEaten(facts, shared, servings),
    nutrients: eaten,
    ...sharesOf(facts, plan, eaten),
  };
}

function nutrientsEaten(facts, shared, servings) {
  const { panel, coverage } = shared;
  const columns = columnsOf(shared, servings);
  const all = Object.assign({}, ...columns.map(([column]) => told(column)).reverse());
  return new Map(
    printed(facts, all).map(([id, declared]) => {
      const [, times, spread] = columns.find(([column]) => column[id] === declared);
      const interval = intervalOf(facts, id, declared);
      const each = declared.less_than ? middle(interval) : declared.value;
      const value = times * each;
      const uncertainty = quadrature(value * spread, times * standardUncertainty(interval));
      const percent = percentDv(nutrients(facts).get(id), value, panel.form);
      const { unit, state } = declared;
      return [id, { range: range(value, uncertainty, coverage), unit, percent, state, perServing: each, times }];
    }),
  );
}

/** Return the columns that tell of the amount, the fittest first: each with how many times it is eaten, and its spread. */
function columnsOf({ panel, amount, bridge, spread }, servings) {
  const { as_prepared: prepared, per_container: whole } = panel.columns;
  const { unit, amount: each } = bridge.stages.at(-1);
  const plain = [panel.nutrients, servings, spread];
  if (amount.cooked && prepared) return [[prepared, servings, spread], plain];
  if (unit === "containers" && whole) return [[whole, amount.count * each, bridge.parts.measure], plain];
  return [plain];
}

/** Return what a column tells, without the lines that it leaves empty. */
function told(column) {
  return Object.fromEntries(Object.entries(column).filter(([, { value }]) => value !== null));
}

/**
 * Return the shares of a carbohydrate choice, of a day's sodium and of a meal's carbohydrate; null where unknown.
 *
 * @param {import("./facts.js").Facts} facts
 * @param {{mealCarbohydrate: number | null, daySodium: number}} plan
 * @param {Map<string, {range: {value: number, low: number, high: number}}>} eaten By nutrient.
 */
export function sharesOf(facts, plan, eaten) {
  const share = (id, unit) => (eaten.has(id) && unit ? scaled(eaten.get(id).range, 1 / unit) : null);
  const meal = plan.mealCarbohydrate;
  return {
    carbChoices: share("carbohydrate", facts.dietRules.carb_choice.g),
    daySodiumPercent: share("sodium", plan.daySodium / 100),
    mealCarbohydratePercent: share("carbohydrate", meal && meal / 100),
  };
}

/** Return the weight as eaten: told by the bridge, else by the label's grams per serving; or null. */
function gramsEaten(facts, { panel, bridge, amount: { count }, coverage, spread }, servings) {
  const each = gramsPerOne(bridge);
  if (each !== null) {
    const { yield: _, ...parts } = bridge.parts;
    return range(count * each, count * each * relativeUncertainty({ parts }), coverage);
  }
  const grams = servingGrams(facts, panel.serving);
  if (grams === null) return null;
  const rounding = metricStep(facts, grams) / 2 / grams / Math.sqrt(3);
  return range(servings * grams, servings * grams * quadrature(spread, rounding), coverage);
}

function checkCoverage(facts, coverage, lang) {
  if (COVERAGES.includes(coverage)) return;
  const message = say(facts, "error.coverage", lang);
  throw new PortionError("invalid_input", message, { coverage: message });
}

function servingState({ household_amount, household_unit, metric_amount, metric_unit }) {
  const fields = [household_amount, household_unit, metric_amount, metric_unit];
  return fields.some(({ state }) => state === "check") ? "check" : "sure";
}

function range(value, uncertainty, coverage) {
  return { value, low: Math.max(0, value - coverage * uncertainty), high: value + coverage * uncertainty };
}

function scaled({ value, low, high }, factor) {
  return { value: value * factor, low: low * factor, high: high * factor };
}
