/** The measure that a food's guess starts with, where nobody has chosen one. */

import { nearest } from "../page/first_amount.js";

/** Return its id. */
export function firstMeasure(page, panel) {
  return nearest(page, panel)[0] ?? "fist";
}
