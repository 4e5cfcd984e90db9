/** Numbers of nutrients as the page writes them, and which of them are shown. */

import { nutrients } from "../rules.js";

/** The four numbers of every result, the most asked for first. */
export const SHOWN = ["energy", "carbohydrate", "fat", "sodium"];
/** Those of a food said in one line. */
export const BRIEF = ["energy", "carbohydrate", "sodium"];
/** Whole numbers from so much up: more digits would claim too much. */
const WHOLE_FROM = 10;

/** Return how many decimals a label prints of a nutrient. */
export function decimalsOf(page, id) {
  return nutrients(page.facts).get(id).decimals;
}

/** Return an amount of a nutrient with its unit, "12 g"; calories have none. */
export function written(page, id, value, unit = page.unitOf(id)) {
  return [page.voice.number(value, roomy(page, id, value)), unit].filter(Boolean).join(" ");
}

/** Return both ends of a range as words, coarse unless that would make them the same. */
export function ends(page, id, { low, high }) {
  const { number } = page.voice;
  const whole = [low, high].map((end) => number(end, roomy(page, id, end)));
  return whole[0] === whole[1] ? [low, high].map((end) => number(end, decimalsOf(page, id))) : whole;
}

/** Return a range as words with the unit, "17 to 31 g", or "" where it is no range. */
export function rangeWords(page, id, range) {
  const [low, high] = ends(page, id, range);
  const withUnit = [high, page.unitOf(id)].filter(Boolean).join(" ");
  return low === high ? "" : page.voice.t("numbers.range", { low, high: withUnit });
}

/** Return a portion's amount in servings, "2 fists = 3 servings". */
export function equalsWords(page, { amount, servings }) {
  const { t, number } = page.voice;
  return t("numbers.equals", { amount: amount.text, servings: number(servings.value, 2), count: servings.value });
}

function roomy(page, id, value) {
  return value >= WHOLE_FROM ? 0 : decimalsOf(page, id);
}
