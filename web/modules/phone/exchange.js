/** Kept foods as a file, and back: JSON with everything, or CSV with one food in a row for any table program. */

import { refuse } from "../check.js";
import { LONGEST_NAME } from "../page/name_field.js";
import { MOST } from "../page/stepper.js";
import { panelFromJson } from "../panel_json.js";
import { fromCsv } from "./table.js";

const VERSION = 1;
const MOST_BYTES = 5_000_000;

/** Why a file could not be taken in; `row` counts its foods from 1, or is null for the whole file. */
export class ExchangeError extends Error {
  constructor(code, row = null, reason = "") {
    super(reason);
    this.name = "ExchangeError";
    Object.assign(this, { code, row });
  }
}

/** Return the foods as the text of a JSON file. */
export function toJson(foods) {
  const plain = foods.map(({ name, kept, food, amount, panel }) => ({ name, kept, food, amount, panel }));
  return JSON.stringify({ shelfcheck: VERSION, foods: plain }, null, 1);
}

/**
 * Return the foods in a file's text, each sound.
 *
 * @param {import("./facts.js").Facts} facts
 * @param {string} text
 * @param {string} lang For what is wrong with a food.
 * @returns {object[]} `{name, food, amount, panel}`, with `kept` where the file tells it.
 * @throws {ExchangeError} "too_large", "unknown" (no such file), "newer" or "food" (with its row and the reason).
 */
export function fromText(facts, text, lang) {
  if (text.length > MOST_BYTES) throw new ExchangeError("too_large");
  const rows = /^\s*[{[]/.test(text) ? fromJson(text) : fromCsv(facts, text);
  if (!rows) throw new ExchangeError("unknown");
  return rows.map((row, place) => sound(facts, row, place + 1, lang));
}

function fromJson(text) {
  let content = null;
  try {
    content = JSON.parse(text);
  } catch {
    throw new ExchangeError("unknown");
  }
  if (!Array.isArray(content?.foods) || !content.shelfcheck) throw new ExchangeError("unknown");
  if (content.shelfcheck > VERSION) throw new ExchangeError("newer");
  return content.foods;
}

function sound(facts, row, place, lang) {
  const { name, food, kept, amount, panel } = row ?? {};
  try {
    const checked = refuse(facts, panelFromJson(facts, panel, lang), lang);
    const count = Number(amount?.count);
    return {
      ...(typeof kept === "string" && !Number.isNaN(Date.parse(kept)) ? { kept } : {}),
      name: String(name ?? "").trim().slice(0, LONGEST_NAME) || null,
      food: typeof food === "string" ? food.slice(0, LONGEST_NAME) : "",
      amount: {
        measure: typeof amount?.measure === "string" ? amount.measure.slice(0, 40) : "fist",
        count: count > 0 && count <= MOST ? count : 1,
        cooked: amount?.cooked === true,
      },
      panel: checked,
    };
  } catch (error) {
    if (error.name !== "PortionError") throw error;
    throw new ExchangeError("food", place, error.sentence);
  }
}
