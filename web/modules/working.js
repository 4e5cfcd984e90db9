/** The working, step by step, as an educator would write it on a board. */

import { amountText, measureWords } from "./amounts.js";
import { relativeUncertainty } from "./bridges.js";
import { asFraction, decimals } from "./numbers.js";
import { CORE } from "./panel.js";
import { labelUnits, nutrients } from "./rules.js";
import { say } from "./words.js";

const CUPS_FROM = 60;
/** Decimals of servings: with fewer, a sum done again by hand comes out another number. */
const DIGITS = 3;
const WHOLE = { pieces: "piece", containers: "container" };

/**
 * Return the steps from the amount to the main numbers, one sentence each.
 *
 * @param {import("./facts.js").Facts} facts
 * @param {object} portion As `workOut` returns it.
 * @param {string} lang
 * @returns {string[]}
 */
export function working(facts, portion, lang) {
  return [toServings, toNutrients, spread].flatMap((steps) => steps(facts, portion, lang));
}

/** Say a volume in the largest kitchen measure that suits it: cups from a quarter up, else spoons. */
export function volume(facts, milliliters, lang) {
  const { ml } = labelUnits(facts);
  const unit = milliliters >= CUPS_FROM ? "cup" : milliliters >= ml.get("tbsp") ? "tbsp" : "tsp";
  return inMeasure(facts, unit, milliliters / ml.get(unit), lang);
}

function toServings(facts, portion, lang) {
  const { amount } = portion;
  const { stages } = portion.bridge;
  const food = portion.food ? portion.food.names[lang] : say(facts, "work.this_food", lang);
  const tell = (key, parts) => say(facts, `work.${key}`, lang, parts);
  const steps = [];
  stages.forEach((stage, place) => {
    if (["own", "containers", "pieces"].includes(stage.unit)) return;
    const size = quantity(facts, stage, amount.count, lang);
    if (place > 0) {
      const start = quantity(facts, stages[place - 1], amount.count, lang);
      steps.push(tell(stage.via, { start, end: size, food }));
    } else if (!sameWords(facts, amount.measure, stage)) {
      steps.push(tell("measure", { amount: amountText(facts, amount, lang), size }));
    }
  });
  return [...steps, ...lastStep(facts, portion, tell, lang)];
}

/** Return the division by the label's serving, or the servings in so many packages. */
function lastStep(facts, portion, tell, lang) {
  const last = portion.bridge.stages.at(-1);
  const { value } = portion.servings;
  const said = { servings: decimals(value, DIGITS), count: value };
  if (last.unit === "containers") {
    const eaten = quantity(facts, last, portion.amount.count, lang);
    return [tell("package", { eaten, each: asFraction(1 / portion.bridge.serving), ...said })];
  }
  const [eaten, each] = divisible(facts, last, portion, lang);
  return [tell("serving", { serving: portion.panel.serving.text || each }), tell("divide", { eaten, each, ...said })];
}

function toNutrients(facts, portion, lang) {
  return CORE.filter((id) => portion.nutrients.has(id)).map((id) => {
    const { range, unit, perServing, times } = portion.nutrients.get(id);
    const total = decimals(range.value, nutrients(facts).get(id).decimals);
    const nutrient = say(facts, `nutrient.${id}`, lang);
    return say(facts, "work.multiply", lang, {
      nutrient,
      servings: decimals(times, DIGITS),
      each: decimals(perServing),
      total,
      unit,
    });
  });
}

function spread(facts, { bridge, coverage }, lang) {
  const met = Object.entries(bridge.parts).filter(([, part]) => part);
  if (!met.length) return [];
  const said = met.map(([part, value]) => say(facts, `part.${part}`, lang, { percent: decimals(100 * value, 0) }));
  const total = decimals(100 * relativeUncertainty(bridge) * coverage, 0);
  const odds = say(facts, `odds.${coverage}`, lang);
  return [say(facts, "work.range", lang, { total, parts: said.join(", "), odds })];
}

function sameWords(facts, measure, stage) {
  return measure === stage.unit || labelUnits(facts).ml.get(measure) === stage.amount;
}

function quantity(facts, stage, count, lang) {
  const total = stage.amount * count;
  if (stage.unit === "ml") return volume(facts, total, lang);
  if (stage.unit === "g") return `${decimals(total, total >= 10 ? 0 : 1)} g`;
  return inMeasure(facts, WHOLE[stage.unit], total, lang);
}

/** Return the amount eaten and the label's serving, said in one unit. */
function divisible(facts, last, { amount, bridge, panel }, lang) {
  const both = [last.amount * amount.count, bridge.serving];
  const unit = panel.serving.household_unit.value;
  const size = labelUnits(facts).ml.get(unit);
  const counted = (measure, each = 1) => both.map((total) => inMeasure(facts, measure, total / each, lang));
  if (last.unit === "ml" && size) return counted(unit, size);
  if (last.unit === "own") return counted(amount.measure);
  if (last.unit === "pieces") return counted("piece");
  return both.map((total) => `${decimals(total, 1)} ${last.unit}`);
}

/** Say so many of a measure as a cook would; the last digits do not matter here. */
function inMeasure(facts, measure, count, lang) {
  return `${asFraction(count)} ${measureWords(facts, measure, count, lang)}`;
}
