/** Numbers of nutrients as the places write them. */

import { nutrients } from "../rules.js";

/** Whole numbers from so much up: more digits would claim too much. */
const WHOLE_FROM = 10;

/** Return an amount of a nutrient with its unit, "12 g"; calories have none. */
export function written(page, id, value, unit = page.unitOf(id)) {
  const places = value >= WHOLE_FROM ? 0 : nutrients(page.facts).get(id).decimals;
  return [page.voice.number(value, places), unit].filter(Boolean).join(" ");
}
