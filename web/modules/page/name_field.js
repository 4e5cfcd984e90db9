/** The field for what a shopper calls a food. */

import { el } from "./dom.js";

export const LONGEST_NAME = 60;

/** Return the field. */
export function nameField(id, value = "") {
  return el("input", { type: "text", id, maxlength: LONGEST_NAME, autocomplete: "off", enterkeyhint: "done", value });
}
