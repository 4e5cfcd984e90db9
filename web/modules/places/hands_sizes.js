/** Sizes of hands as people say them: cups, spoons and ounces, and how surely they are known. */

import { asFraction } from "../numbers.js";
import { handsFrom, handSize, measures } from "../measures.js";
import { nameOf } from "../page/ways.js";

/** The names under which a fist is kept, however it was measured; only one of them at a time. */
export const FIST = ["fist_ml", "fist_water_ml", "hand_breadth_mm"];
/** An inch in millimetres, exact by definition. */
const INCH_MM = 25.4;
/** Parts of a cup or spoon that kitchens have, and 7/8, which is a cup not quite full. */
const PARTS = [0, 1 / 4, 1 / 3, 1 / 2, 2 / 3, 3 / 4, 7 / 8, 1];
/** From how many mL people say cups, and tablespoons. Judgement. */
const [CUPS_FROM, SPOONS_FROM] = [55, 7.5];
/** Relative standard uncertainties, and what those above them are called in words. Judgement. */
const SPREADS = [
  [0.35, "two_fifths"],
  [0.25, "third"],
  [0.17, "fifth"],
  [0.12, "sixth"],
  [0, "tenth"],
];

/**
 * Return units to type a size in.
 *
 * @param {object} page
 * @param {string[]} ids Of "cup", "tbsp", "tsp", "ml", "oz", "g", "mm", "inch".
 * @returns {{id: string, size: number, name: string}[]} `size`: one of it in the core's mL, g or mm.
 */
export function unitsOf(page, ids) {
  const { t } = page.voice;
  const lengths = { mm: 1, inch: INCH_MM };
  return ids.map((id) =>
    id in lengths
      ? { id, size: lengths[id], name: t(`hands.unit.${id}`) }
      : { id, size: measures(page.facts).get(id).ways[0].amount, name: nameOf(page, id, 2) },
  );
}

/** Return every hand measure that follows from the fist. */
export function following(page) {
  return [...measures(page.facts).values()].filter(({ id, scales }) => scales && id !== "fist");
}

/** Return what one of `measure` holds, `{size, spread, dimension}`, in these hands by name (`{}`: the usual ones). */
export function sizeIn(page, hands, measure) {
  const way = measure.ways[0];
  const [size, spread] = handSize(page.facts, handsFrom(page.facts, hands, page.voice.lang), measure, way);
  return { size, spread, dimension: way.dimension };
}

/** Return a size as a cook would say it, such as "1 1/4 cups", and exactly, such as "300 mL". */
export function sayIn(page, { size, dimension }) {
  const spoon = size >= SPOONS_FROM ? "tbsp" : "tsp";
  const unit = dimension === "g" ? "oz" : size >= CUPS_FROM ? "cup" : spoon;
  const count = kitchen(size / measures(page.facts).get(unit).ways[0].amount);
  const exact = `${page.voice.number(size, size < 10 ? 1 : 0)} ${dimension === "g" ? "g" : "mL"}`;
  return { about: `${asFraction(count)} ${nameOf(page, unit, count)}`, exact };
}

/** Return an uncertainty in words, such as "a fifth". */
export function spreadWords(page, spread) {
  const [, part] = SPREADS.find(([least]) => spread > least);
  return page.voice.t(`hands.spread.${part}`);
}

/** Return the hands with some numbers taken away and others put in. */
export function handsWith(hands, without, more = {}) {
  const kept = Object.entries(hands).filter(([name]) => !without.includes(name));
  return { ...Object.fromEntries(kept), ...more };
}

/** Round to a part that cups and spoons have; never to nothing. */
function kitchen(value) {
  const whole = Math.floor(value);
  const part = PARTS.reduce((best, one) =>
    Math.abs(value - whole - one) < Math.abs(value - whole - best) ? one : best,
  );
  return whole + part || PARTS[1];
}
