/**
 * Is a typed panel possible, and is it plausible? The same judgement as `shelfcheck/check.py`.
 *
 * Faults are contradictions that no label can hold; doubts are likelihoods that fail, since each relation
 * has lawful exceptions.
 */

import { PortionError } from "./errors.js";
import { roundHalfUp } from "./numbers.js";
import { householdCount, householdMl, intervalOf, printed, servingGrams, servingMl } from "./panel.js";
import { panelFromJson } from "./panel_json.js";
import { labelUnits, lawfulPercents, metricStep, middle, nutrients, onGrid, percentStep, servingsStep } from "./rules.js";
import { say, spoken } from "./words.js";

const HEAVY = ["fat", "carbohydrate", "protein"];

/**
 * Read and check a typed panel.
 *
 * @param {import("./facts.js").Facts} facts
 * @param {object} raw The panel as JSON; states may be left out.
 * @param {string} lang
 * @returns {{panel: object | null, faults: Object<string, string>, doubts: object[]}} The panel in full, its
 *   doubtful fields set to "check"; null when `faults` tells, by the field's path, why it cannot be.
 */
export function checkPanel(facts, raw, lang) {
  try {
    const panel = refuse(facts, panelFromJson(facts, raw, spoken(lang)), lang);
    const doubts = findDoubts(facts, panel).map(([field, code, parts]) => {
      return { field, code, reason: say(facts, `doubt.${code}`, lang, named(facts, parts, lang)), box: null };
    });
    return { panel: { ...doubts.reduce(marked, panel), doubts }, faults: {}, doubts };
  } catch (error) {
    if (!(error instanceof PortionError)) throw error;
    return { panel: null, faults: error.fields, doubts: [] };
  }
}

/**
 * Return the panel if it does not contradict itself.
 *
 * @throws {PortionError} `invalid_input` with every contradiction in `fields`.
 */
export function refuse(facts, panel, lang) {
  const weight = heaviest(facts, panel.serving);
  const heavy = HEAVY.map((id) => [id, interval(facts, panel, id)]).filter(([, found]) => found);
  const total = heavy.reduce((sum, [, { low }]) => sum + low, 0);
  if (weight === null || total <= weight) return panel;
  const parts = { sum: roundHalfUp(total, 1), serving: roundHalfUp(weight, 1) };
  const sentence = say(facts, "fault.heavier", lang, parts);
  const fields = heavy.filter(([, { low }]) => low > 0).map(([id]) => [`nutrients.${id}`, sentence]);
  throw new PortionError("invalid_input", say(facts, "error.panel_faults", lang), Object.fromEntries(fields));
}

/** Return `[field, code, parts of the sentence]` for each relation that does not hold. */
function findDoubts(facts, panel) {
  const lines = printed(facts, panel.nutrients);
  return [
    ...lines.flatMap(([id, declared]) => againstRules(facts, id, declared, panel.form)),
    ...lines.flatMap(([id]) => againstWhole(facts, panel, id)),
    ...againstEnergy(facts, panel),
    ...againstSalt(facts, panel),
    ...againstContainer(facts, panel),
    ...againstHousehold(facts, panel.serving),
  ];
}

function againstRules(facts, id, declared, form) {
  const nutrient = nutrients(facts).get(id);
  const parts = { amount: declared.value, unit: declared.unit, percent: declared.percent_dv };
  const found = [];
  if (!onGrid(nutrient, declared.value)) found.push("grid");
  if (!percentFits(facts, nutrient, declared, form)) found.push("percent");
  return found.map((code) => [`nutrients.${id}`, code, parts]);
}

function percentFits(facts, nutrient, { value, percent_dv: percent, less_than: lessThan }, form) {
  const lawful = percent === null ? null : lawfulPercents(facts, nutrient, value, form, lessThan);
  if (lawful === null) return true;
  const slack = nutrient.grid.soft ? percentStep(facts, nutrient, percent) : 0;
  return lawful[0] - slack <= percent && percent <= lawful[1] + slack;
}

function againstWhole(facts, panel, part) {
  const whole = nutrients(facts).get(part).within;
  const [least, most] = [interval(facts, panel, part), whole ? interval(facts, panel, whole) : null];
  if (!most || least.low < most.high) return [];
  return [part, whole].map((id) => [`nutrients.${id}`, "part_of", { part, whole }]);
}

/** Compare the calories with 4-4-9, with and without fibre and sugar alcohol. */
function againstEnergy(facts, panel) {
  const [energy, fat, carbohydrate, protein] = ["energy", ...HEAVY].map((id) => interval(facts, panel, id));
  if (!energy || !fat || !carbohydrate || !protein) return [];
  const factor = facts.labelRules.energy_factors;
  const free = ["fiber", "sugar_alcohol"].reduce((sum, id) => sum + (interval(facts, panel, id)?.high ?? 0), 0);
  const low = factor.fat * fat.low + factor.carbohydrate * Math.max(0, carbohydrate.low - free) + 4 * protein.low;
  const high = factor.fat * fat.high + factor.carbohydrate * carbohydrate.high + 4 * protein.high;
  const { energy_at_least: least, energy_at_most: most, energy_slack_kcal: slack } = facts.labelRules.plausible;
  const [printed, expected] = [panel.nutrients.energy.value, middle({ low, high })];
  const tooLittle = printed === 0 && expected >= slack;
  if (!tooLittle && low * least - slack <= energy.high && energy.low <= high * most + slack) return [];
  const parts = { energy: printed, expected: roundHalfUp(expected) };
  return ["energy", ...HEAVY].map((id) => [`nutrients.${id}`, "energy", parts]);
}

/** Doubt sodium that only a seasoning can have: no other line but its percentage would tell a slip. */
function againstSalt(facts, { nutrients: { sodium, energy }, serving }) {
  const { salty_share: share, salty_from_kcal: least } = facts.labelRules.plausible;
  const weight = heaviest(facts, serving);
  if ((sodium?.value ?? null) === null || sodium.percent_dv !== null || !weight) return [];
  const food = (energy?.value ?? null) !== null && energy.value >= least;
  return food && sodium.value / 1000 > weight * share ? [["nutrients.sodium", "salty", { amount: sodium.value }]] : [];
}

/** Compare each amount per container with the servings times that of one. */
function againstContainer(facts, panel) {
  const count = panel.serving.servings_per_container.value;
  const column = panel.columns.per_container;
  if (count === null || !column) return [];
  const least = count - servingsStep(facts, count - 0.1) / 2;
  const most = count + servingsStep(facts, count) / 2;
  return Object.entries(column).flatMap(([id, whole]) => {
    const [each, total] = [interval(facts, panel, id), intervalOf(facts, id, whole)];
    if (!each || !total || (each.low * least <= total.high && each.high * most >= total.low)) return [];
    const parts = { each: panel.nutrients[id].value, total: whole.value, servings: count };
    return [`nutrients.${id}`, `columns.per_container.${id}`].map((field) => [field, "container", parts]);
  });
}

function againstHousehold(facts, serving) {
  const fits = householdFits(facts, serving);
  return fits ? [] : ["household_amount", "metric_amount"].map((key) => [`serving.${key}`, "household", {}]);
}

/** Tell whether the household measure and the weight go together: ounces, millilitres, or a food's density. */
function householdFits(facts, serving) {
  const may = facts.labelRules.plausible;
  const [count, metric] = [householdCount(serving), serving.metric_amount.value];
  const inOunces = labelUnits(facts).g.has(serving.household_unit.value);
  if (inOunces && count && metric && serving.metric_unit.value === "g") {
    return may.lightest_ounce_g <= metric / count && metric / count <= may.heaviest_ounce_g;
  }
  const milliliters = householdMl(facts, serving);
  if (milliliters === null || metric === null) return true;
  const ratio = metric / milliliters;
  if (serving.metric_unit.value === "ml") return Math.abs(ratio - 1) < may.metric_within;
  return may.lightest_g_per_ml <= ratio && ratio <= may.heaviest_g_per_ml;
}

/** Return the parts of a doubt's sentence with nutrients by their names. */
function named(facts, parts, lang) {
  if (!parts.whole) return parts;
  const [part, whole] = [parts.part, parts.whole].map((id) => say(facts, `nutrient.${id}`, lang));
  return { part, whole };
}

/** Return the panel with the field of a doubt set to "check"; a missing field stays missing. */
function marked(panel, { field }) {
  const [part, key] = field.split(".");
  if (part === "columns") return panel;
  const old = panel[part][key];
  return old.value === null ? panel : { ...panel, [part]: { ...panel[part], [key]: { ...old, state: "check" } } };
}

/** Return the most that one serving can weigh, in grams, by what the label says of it; or null. */
function heaviest(facts, serving) {
  const grams = servingGrams(facts, serving);
  if (grams !== null) return grams + metricStep(facts, grams) / 2;
  const milliliters = servingMl(facts, serving);
  return milliliters === null ? null : milliliters * facts.labelRules.plausible.heaviest_g_per_ml;
}

function interval(facts, panel, id) {
  return intervalOf(facts, id, panel.nutrients[id]);
}
