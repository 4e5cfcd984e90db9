/**
 * Several portions added up, each sum with its range.
 *
 * A person's hand is off the same way each time, and so is their bowl; and so is what is known of a food: how it fills a
 * cup, how it cooks. What is uncertain of all amounts by hand is added as it stands, that of all bowls, and that of all
 * amounts of a food; all other uncertainties are independent and go in quadrature (JCGM 100:2008, 5.1.2, and 5.2.2 note 1
 * for full correlation).
 */

import { byEye, measures } from "./measures.js";
import { quadrature } from "./numbers.js";
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
  const alike = {}; // what is uncertain of all amounts by one kind of measure, or of one food
  let [value, squares] = [0, 0];
  for (const portion of having) {
    const { range } = portion.nutrients.get(id);
    const reach = range.high - range.value;
    const shared = sharedReach(facts, portion, range.value);
    value += range.value;
    for (const [cause, part] of shared) alike[cause] = (alike[cause] ?? 0) + part;
    const known = quadrature(...shared.map(([, part]) => part));
    squares += Math.max(0, reach * reach - known * known);
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

/** Return how much of a value's reach comes from each cause that is off the same way each time: the eye, and the food. */
function sharedReach(facts, { amount, food, bridge, coverage }, value) {
  const { measure = 0, density = 0, piece = 0, yield: cooking = 0 } = bridge.parts;
  const causes = [];
  if (byEye(facts, amount.measure)) causes.push([measures(facts).get(amount.measure).kind, measure]);
  if (food) causes.push([`food ${food.id}`, quadrature(density, piece, cooking)]);
  return causes.map(([cause, part]) => [cause, value * part * coverage]);
}
