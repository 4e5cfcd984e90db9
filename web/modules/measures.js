/** Ways to say an amount, and a person's own hands; the numbers are those of `data/measures.json`. */

import { PortionError } from "./errors.js";
import { oncePerFacts } from "./facts.js";
import { quadrature, roundHalfUp } from "./numbers.js";
import { cut, form, say } from "./words.js";

const DIMENSIONS = ["ml", "g", "pieces", "containers"];
const BREADTH = "hand_breadth_mm";
const WATER = "fist_water_ml";

/**
 * @typedef {{dimension: "ml" | "g" | "pieces" | "containers", amount: number, groups: string[]}} Way
 *   What one of a measure holds, for some groups of foods or (no groups) for all.
 * @typedef {{id: string, kind: string, ways: Way[], name: object, step: number, scales: boolean,
 *   limits: [number, number] | null, dry: boolean}} Measure `dry`: holds the food as sold, however that is eaten.
 * @typedef {{measured: Object<string, number>, fistU: number | null}} Hands
 *   A person's own calibration: each number under its measure and unit, such as `{fist_ml: 300}`.
 */

/** Every measure by its id, hand measures first. */
export const measures = oncePerFacts(
  (facts) => new Map(facts.measures.measures.map((row) => [row.id, readMeasure(row)])),
);

/** Return the measure's name for so many of it. */
export function measureName(measure, count, lang) {
  return measure.name[lang][form(count)];
}

/** Return the relative standard uncertainty of a kind of measure ("hand", "spoon", "scale", ...). */
export function uncertainty(facts, kind) {
  return facts.measures.relative_standard_uncertainty[kind].u;
}

/** Tell whether one judges how much it is: with a hand, or in the own bowl, and always alike. */
export function byEye(facts, id) {
  return ["hand", "bowl"].includes(measures(facts).get(id)?.kind);
}

/** Tell whether a way is meant for a food of `group`. */
export function serves(way, group) {
  return way.groups.length === 0 || way.groups.includes(group);
}

/** Return `[size, relative standard uncertainty]` of one of `measure` in these hands. */
export function handSize(facts, hands, measure, way) {
  const own = hands.measured[`${measure.id}_${way.dimension}`];
  if (own !== undefined) {
    const known = uncertainty(facts, measure.scales ? "own" : `own_${measure.kind}`);
    return [own, measure.id === "fist" && hands.fistU ? hands.fistU : known];
  }
  if (measure.scales && hands.measured.fist_ml !== undefined) {
    const ratio = hands.measured.fist_ml / usualFist(facts);
    return [way.amount * ratio, Math.max(uncertainty(facts, "own_scaled"), hands.fistU ?? 0)];
  }
  return [way.amount, uncertainty(facts, measure.kind)];
}

/**
 * Return hands from numbers by name: `fist_ml`, `hand_breadth_mm`, `thumb_ml`, `bowl_ml`, ...
 *
 * `fist_ml` is what a heap holds that looks as big as the fist. Where it is not given, it follows from the water
 * that the fist displaces up to the wrist (`fist_water_ml`), else from the hand's breadth across the knuckles, in
 * millimetres, by the cube of the lengths.
 *
 * @param {Object<string, number> | null} given
 * @returns {Hands}
 * @throws {PortionError} `invalid_input`, one sentence for each number that is unknown or beyond any hand.
 */
export function handsFrom(facts, given, lang) {
  const entries = Object.entries(given ?? {});
  const faults = entries
    .map(([name, value]) => [`hands.${name}`, handFault(facts, name, value, lang)])
    .filter(([, fault]) => fault);
  if (faults.length) {
    throw new PortionError("invalid_input", say(facts, "error.hands_faults", lang), Object.fromEntries(faults));
  }
  return withFist(facts, Object.fromEntries(entries));
}

/** The least and greatest size that each number of a hand can have, by its name. */
export const handBounds = oncePerFacts((facts) => {
  const scaling = [...measures(facts).values()].filter((measure) => measure.scales);
  const usual = scaling.flatMap(({ id, ways }) => ways.map((way) => [`${id}_${way.dimension}`, way.amount]));
  const [least, most] = facts.measures.fist_limits_ml.map((limit) => limit / usualFist(facts));
  const { mean_mm: mean } = facts.measures.hand_breadth;
  const { mean_ml: water } = facts.measures.fist_in_water;
  const bounds = new Map(usual.map(([name, size]) => [name, [least * size, most * size]]));
  for (const { id, ways, limits } of measures(facts).values()) if (limits) bounds.set(`${id}_${ways[0].dimension}`, limits);
  bounds.set(BREADTH, [mean * Math.cbrt(least), mean * Math.cbrt(most)]);
  return bounds.set(WATER, [least * water, most * water]);
});

function handFault(facts, name, value, lang) {
  const bounds = handBounds(facts);
  if (!bounds.has(name)) {
    return say(facts, "fault.hands_name", lang, { name: cut(name, 40), known: [...bounds.keys()].join(", ") });
  }
  if (typeof value !== "number") return say(facts, "fault.not_a_number", lang);
  const [low, high] = bounds.get(name);
  if (low <= value && value <= high) return null;
  return say(facts, "fault.hands_size", lang, { low: roundHalfUp(low), high: roundHalfUp(high) });
}

/** Return hands whose fist is the one given, else follows from the water it displaces or from the breadth. */
function withFist(facts, given) {
  const { [BREADTH]: breadth, [WATER]: displaced, ...measured } = given;
  if ("fist_ml" in measured || (breadth ?? displaced) === undefined) return { measured, fistU: null };
  const { hand_breadth: hand, fist_in_water: water } = facts.measures;
  const length = breadth / hand.mean_mm;
  const [ratio, spread] =
    displaced === undefined
      ? [length * length * length, hand.cv_of_cube]
      : [displaced / water.mean_ml, water.cv_of_mean];
  const fist = usualFist(facts) * ratio;
  return { measured: { ...measured, fist_ml: fist }, fistU: quadrature(uncertainty(facts, "own"), spread) };
}

function usualFist(facts) {
  return measures(facts).get("fist").ways[0].amount;
}

function readMeasure(row) {
  const ways = row.ways.map((way) => {
    const dimension = DIMENSIONS.find((name) => name in way);
    return { dimension, amount: way[dimension], groups: way.for ?? [] };
  });
  const { id, kind, name, step, limits = null, dry = false } = row;
  return { id, kind, ways, name, step, scales: row.scales === "volume", limits, dry };
}
