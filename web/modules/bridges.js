/**
 * From an amount to label servings: the bridges between what people say and what labels speak.
 *
 * In this order: the label's own unit; the same dimension on the label (volume, weight, pieces,
 * packages); the food's density or piece weight; dry to cooked through the food's yield.
 */

import { amountText, isContainer } from "./amounts.js";
import { PortionError } from "./errors.js";
import { handSize, measures, serves, uncertainty } from "./measures.js";
import { general, quadrature } from "./numbers.js";
import { householdCount } from "./panel.js";
import { direct, printedUnit, throughCooking, throughFood } from "./routes.js";
import { cut, say } from "./words.js";

/**
 * @typedef {{amount: number, unit: "ml" | "g" | "pieces" | "containers" | "own",
 *   via: "measure" | "density" | "cooked" | "piece"}} Stage
 *   One of the measure, said in `unit`; `via` tells what led here from the stage before.
 * @typedef {{stages: Stage[], serving: number, parts: Object<string, number>}} Bridge
 *   How one of a measure becomes label servings: `serving` is one label serving in the unit of the last
 *   stage; `parts` are the relative standard uncertainties met on the way.
 */

/** Return label servings in one of the measure. */
export function servingsPerOne({ stages, serving }) {
  return stages.at(-1).amount / serving;
}

/** Return the parts in quadrature (JCGM 100:2008, 5.1.2: a product of independent quantities). */
export function relativeUncertainty({ parts }) {
  return quadrature(...Object.values(parts));
}

/** Return the weight of one measure as eaten, where a stage tells it, else null. */
export function gramsPerOne({ stages }) {
  return stages.find((stage) => stage.unit === "g")?.amount ?? null;
}

/**
 * Return the bridge from one of `amount`'s measure to servings of the label.
 *
 * @returns {Bridge}
 * @throws {PortionError} `unknown_measure` when the measure is neither ours nor the label's own unit;
 *   `no_bridge` naming the one thing to supply.
 */
export function buildBridge(facts, amount, serving, food, hands, lang) {
  const cooked = amount.cooked && !measuredDry(facts, amount.measure);
  if (cooked && !food) {
    const message = say(facts, "error.cooked_food", lang);
    throw new PortionError("no_bridge", message, { food: message });
  }
  const swells = cooked && Boolean(food.cookedPerDry);
  const own = swells ? null : ownUnit(facts, amount.measure, serving);
  if (own) return own;
  const link = swells ? throughCooking : (...given) => direct(...given) ?? throughFood(...given);
  for (const [stage, parts] of ways(facts, amount.measure, serving, food, hands, lang)) {
    const bridge = link(facts, stage, parts, serving, food);
    if (bridge) return bridge;
  }
  throw noBridge(facts, amount, serving, lang);
}

/** Tell whether a measure holds the food as it is sold, however it is eaten: packages, pieces, bundles. */
export function measuredDry(facts, measure) {
  return measures(facts).get(measure)?.dry ?? true;
}

/** Return the bridge for a measure that is the very unit printed on the label, or null. */
function ownUnit(facts, measure, serving) {
  const count = householdCount(serving);
  if (count === null || printedUnit(facts, serving) !== measure) return null;
  const kind = measures(facts).get(measure)?.kind ?? (isContainer(facts, measure) ? "container" : "piece");
  const stage = { amount: 1, unit: "own", via: "measure" };
  return { stages: [stage], serving: count, parts: { measure: uncertainty(facts, kind) } };
}

/** Return what one of the measure holds, each with its uncertainty, the fittest way first. */
function ways(facts, measure, serving, food, hands, lang) {
  const known = measures(facts).get(measure);
  if (!known) return [nounWay(facts, measure, serving, food, lang)];
  return known.ways
    .filter((way) => serves(way, food?.group))
    .map((way) => {
      const [size, spread] = handSize(facts, hands, known, way);
      return [{ amount: size, unit: way.dimension, via: "measure" }, { measure: spread }];
    });
}

/** Return one "can" as one package, and one "cracker" as one piece where a piece is known. */
function nounWay(facts, noun, serving, food, lang) {
  const one = (unit, kind) => [{ amount: 1, unit, via: "measure" }, { measure: uncertainty(facts, kind) }];
  if (isContainer(facts, noun)) return one("containers", "container");
  const hasPieces = printedUnit(facts, serving) === "piece" || serving.pieces.value || food?.piece;
  if (hasPieces) return one("pieces", "piece");
  const known = [...measures(facts).keys()].join(", ");
  const message = say(facts, "error.unknown_measure", lang, { word: cut(noun, 40), known });
  throw new PortionError("unknown_measure", message, { "amount.measure": message });
}

/** Return the error that names the one thing to supply. */
function noBridge(facts, amount, serving, lang) {
  const silent = householdCount(serving) === null && serving.metric_amount.value === null;
  const whole = amount.measure === "container" || isContainer(facts, amount.measure);
  const [code, field] = silent
    ? ["serving", "serving"]
    : whole
      ? ["container", "serving.servings_per_container"]
      : ["food", "food"];
  const parts = { amount: amountText(facts, amount, lang), serving: serving.text || said(serving) };
  const message = say(facts, `error.no_bridge_${code}`, lang, parts);
  return new PortionError("no_bridge", message, { [field]: message });
}

/** Return the serving in the label's own kind of words, for a message. */
function said(serving) {
  const join = (amount, unit) => (amount.value ? `${general(amount.value)} ${unit.value ?? ""}`.trim() : "");
  const household = join(serving.household_amount, serving.household_unit);
  const metric = join(serving.metric_amount, serving.metric_unit);
  return household && metric ? `${household} (${metric})` : household || metric;
}
