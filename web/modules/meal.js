/**
 * Several portions added up, each sum with its range.
 *
 * A person's hand is off the same way each time, and so is their bowl. What is uncertain of all amounts by hand is added
 * as it stands, and that of all bowls; all other uncertainties are independent and go in quadrature (JCGM 100:2008,
 * 5.1.2, and 5.2.2 note 1 for full correlation).
 */

import { byEye, measures } from "./measures.js";
import { nutrients } from "./rules.js";

/**
 * Return the sum of every nutrient that a portion has, in the order of a panel.
 *
 * @param {import("./facts.js").Facts} facts
 * @param {object[]} portions As `workOut` of `portion.js` returns them, all of one coverage.
 * @returns {Map<string, {range: {value: number, low: number, high: number}, unit: string, state: "sure" | "check",
 *   missing: number}>} `missing`: how many of the portions do not tell this nutrient.
 */
export function addUp(facts, portions) {
  const sums = [...nutrients(facts).keys()].map((id) => [id, sumOf(facts, portions, id)]);
  return new Map(sums.filter(([, sum]) => sum));
}

function sumOf(facts, portions, id) {
  const having = portions.filter((portion) => portion.nutrients.has(id));
  if (!having.length) return null;
  const alike = {}; // what is uncertain of all amounts by one kind of measure
  let [value, squares] = [0, 0];
  for (const portion of having) {
    const { range } = portion.nutrients.get(id);
    const reach = range.high - range.value;
    const shared = sharedReach(facts, portion, range.value);
    value += range.value;
    const kind = measures(facts).get(portion.amount.measure)?.kind;
    alike[kind] = (alike[kind] ?? 0) + shared;
    squares += Math.max(0, reach * reach - shared * shared);
  }
  const reach = Math.hypot(...Object.values(alike), Math.sqrt(squares));
  const doubtful = having.some((portion) => portion.nutrients.get(id).state === "check" || portion.state === "check");
  return {
    range: { value, low: Math.max(0, value - reach), high: value + reach },
    unit: nutrients(facts).get(id).unit,
    state: doubtful ? "check" : "sure",
    missing: portions.length - having.length,
  };
}

/** Return how much of a value's reach comes from judging by eye, which is off the same way each time. */
function sharedReach(facts, { amount, bridge, coverage }, value) {
  return byEye(facts, amount.measure) ? value * (bridge.parts.measure ?? 0) * coverage : 0;
}
