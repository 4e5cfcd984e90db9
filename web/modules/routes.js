/**
 * The routes of a bridge: each takes a stage to the label's own terms, or answers null where it cannot.
 * `parts` are the relative standard uncertainties met so far; `bridges.js` tells the order of the routes.
 */

import { isContainer, labelNoun } from "./amounts.js";
import { densityOf } from "./foods.js";
import { householdCount, servingGrams, servingMl } from "./panel.js";
import { labelUnits, servingsStep } from "./rules.js";

/** Bridge within one dimension: the label says the same kind of thing. */
export function direct(facts, stage, parts, serving) {
  const each = labelSize(facts, stage.unit, serving);
  if (each !== null) return { stages: [stage], serving: each, parts };
  if (stage.unit !== "containers") return null;
  const { value, about } = serving.servings_per_container;
  if (value) {
    const half = about ? servingsStep(facts, value) / 2 : 0;
    return { stages: [stage], serving: 1 / value, parts: { ...parts, servings: half / value / Math.sqrt(3) } };
  }
  const count = householdCount(serving);
  if (!count || !isContainer(facts, printedUnit(facts, serving))) return null;
  return { stages: [stage], serving: count, parts };
}

/** Return one label serving in `unit`, or null when the label does not say it. */
function labelSize(facts, unit, serving) {
  if (unit === "ml") return servingMl(facts, serving);
  if (unit === "g") return servingGrams(facts, serving);
  if (unit !== "pieces") return null;
  return countsPieces(facts, serving) ? householdCount(serving) : serving.pieces.value;
}

function countsPieces(facts, serving) {
  const unit = printedUnit(facts, serving);
  const { ml, g } = labelUnits(facts);
  return Boolean(unit) && !ml.has(unit) && !g.has(unit) && !isContainer(facts, unit);
}

/** Bridge through the food's density or piece weight. */
export function throughFood(facts, stage, parts, serving, food) {
  if (!food) return null;
  if (stage.unit === "pieces" && food.piece) {
    const grams = { amount: stage.amount * food.piece.value, unit: "g", via: "piece" };
    const more = { ...parts, piece: food.piece.u };
    const bridge = direct(facts, grams, more, serving) ?? throughFood(facts, grams, more, serving, food);
    return after([stage], bridge);
  }
  const density = densityOf(food);
  if (!density || !["ml", "g"].includes(stage.unit)) return null;
  const other =
    stage.unit === "ml"
      ? { amount: stage.amount * density.value, unit: "g", via: "density" }
      : { amount: stage.amount / density.value, unit: "ml", via: "density" };
  return after([stage], direct(facts, other, { ...parts, density: density.u }, serving));
}

/** Bridge from an amount as cooked to the dry food that the label speaks of. */
export function throughCooking(facts, stage, parts, serving, food) {
  const stages = [stage];
  let met = parts;
  if (stage.unit === "ml") {
    const density = food.densities.cooked;
    if (!density) return null;
    stages.push({ amount: stage.amount * density.value, unit: "g", via: "density" });
    met = { ...met, density: density.u };
  }
  if (stages.at(-1).unit !== "g") return null;
  const { value, u } = food.cookedPerDry;
  const dry = { amount: stages.at(-1).amount / value, unit: "g", via: "cooked" };
  met = { ...met, yield: u };
  return after(stages, direct(facts, dry, met, serving) ?? throughFood(facts, dry, met, serving, food));
}

function after(stages, bridge) {
  return bridge && { ...bridge, stages: [...stages, ...bridge.stages] };
}

/** Return the label's household unit in the singular, or "" where there is none. */
export function printedUnit(facts, serving) {
  return labelNoun(facts, serving.household_unit.value ?? "");
}
