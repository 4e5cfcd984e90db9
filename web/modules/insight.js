/**
 * What is worth saying about a portion: zeros that add up, high and low, shares of the day and meal.
 * Each insight is candid and never scolds.
 */

import { measuredDry } from "./bridges.js";
import { byEye } from "./measures.js";
import { decimals } from "./numbers.js";
import { nutrients, printedInterval } from "./rules.js";
import { say } from "./words.js";

const LARGER = 1.5;
const SMALLER = 0.67;

/**
 * @typedef {{code: string, text: string, nutrients: string[], values: Object<string, number>}} Insight
 *   A sentence by its code, with the numbers in it and the nutrients that it is about.
 */

/**
 * Return the insights of a portion, the most useful first.
 *
 * @param {import("./facts.js").Facts} facts
 * @param {object} portion As `workOut` returns it.
 * @param {string} lang
 * @returns {Insight[]}
 */
export function insights(facts, portion, lang) {
  const tell = (code, parts = {}, about = [], values = {}) => ({
    code,
    text: say(facts, `insight.${code}`, lang, parts),
    nutrients: about,
    values,
  });
  const name = (id) => say(facts, `nutrient.${id}`, lang);
  const makers = [unsure, servings, meal, daySodium, guide, zeros, dryOrCooked, bundle];
  return makers.flatMap((make) => make({ facts, portion, lang, tell, name }));
}

/** Return the brief cautions that belong beside every result. */
export function cautions(facts, lang) {
  return facts.dietRules.cautions.map((code) => say(facts, `caution.${code}`, lang));
}

function unsure({ facts, portion, lang, tell, name }) {
  const ids = [...portion.nutrients].filter(([, eaten]) => eaten.state === "check").map(([id]) => id);
  const serving = portion.state === "check" ? [say(facts, "field.serving", lang)] : [];
  const names = [...serving, ...ids.map(name)];
  return names.length ? [tell("look_again", { names: names.join(", ") }, ids)] : [];
}

function servings({ portion, tell }) {
  const { value } = portion.servings;
  if (value < LARGER && value > SMALLER) return [];
  return [tell("servings", { servings: decimals(value, value >= 1 ? 1 : 2), count: value }, [], { servings: value })];
}

function meal({ portion, tell }) {
  if (!portion.mealCarbohydratePercent) return [];
  const { value } = portion.mealCarbohydratePercent;
  const parts = { percent: decimals(value, 0), plan: decimals(portion.plan.mealCarbohydrate) };
  return [tell("meal_share", parts, ["carbohydrate"], { percent: value })];
}

function daySodium({ portion, tell }) {
  if (!portion.daySodiumPercent) return [];
  const { value } = portion.daySodiumPercent;
  const parts = { percent: decimals(value, 0), day: decimals(portion.plan.daySodium) };
  return [tell("day_sodium", parts, ["sodium"], { percent: value })];
}

/** Say what is high and low by the 5/20 guide, for the amount really eaten. */
function guide({ facts, portion, tell, name }) {
  const { low_at_most: low, high_at_least: high } = facts.labelRules.guide;
  const found = { high_limit: [], low_limit: [], high_enough: [], low_enough: [] };
  for (const [id, { percent }] of portion.nutrients) {
    const aim = nutrients(facts).get(id).guide;
    if (!aim || percent === null) continue;
    if (percent >= high) found[`high_${aim}`].push(id);
    else if (percent <= low) found[`low_${aim}`].push(id);
  }
  return ["high_limit", "low_limit", "high_enough"]
    .filter((code) => found[code].length)
    .map((code) => tell(code, { names: found[code].map(name).join(", ") }, found[code]));
}

/** Say which printed 0 may hide something worth knowing at this many servings. */
function zeros({ facts, portion, tell, name }) {
  const rule = facts.dietRules.zero_adds_up;
  const { value } = portion.servings;
  if (value < rule.from_servings) return [];
  return rule.nutrients
    .filter((id) => portion.nutrients.get(id)?.perServing === 0)
    .map((id) => {
      const most = printedInterval(facts, id, 0).high * portion.nutrients.get(id).times;
      const { unit } = portion.nutrients.get(id);
      const parts = { servings: decimals(value, 1), nutrient: name(id), most: decimals(most, 1), unit };
      return tell("zero_adds_up", parts, [id], { below: most });
    });
}

function dryOrCooked({ facts, portion, lang, tell }) {
  const { food, amount, panel } = portion;
  const found = amount.cooked && "as_prepared" in panel.columns ? [tell("as_prepared")] : [];
  if (!food?.cookedPerDry) return found;
  const dry = measuredDry(facts, amount.measure);
  if (!amount.cooked) return byEye(facts, amount.measure) && !dry ? [tell("counted_dry")] : [];
  const rule = { code: "cooks_rule", text: food.rule?.[lang], nutrients: [], values: {} };
  return rule.text && !dry ? [...found, rule] : found;
}

function bundle({ portion, tell }) {
  return portion.amount.measure === "bundle" ? [tell("bundle")] : [];
}
