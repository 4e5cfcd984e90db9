/** A kept food at some amount: its numbers, in this person's hands and language, or why there are none. */

import { workOut } from "../portion.js";

/**
 * Return the portion of a record, unrounded, or the sentence that says what is missing.
 *
 * @param {object} page
 * @param {{panel: object, food: string, amount: object}} record
 * @param {object} [amount] Another amount than the record's own.
 * @returns {{portion?: object, error?: string}}
 */
export function reckon(page, { panel, food, amount: own }, amount = own) {
  const { facts, voice, store } = page;
  try {
    const given = { panel, amount, food: food || null, hands: store.state.hands, lang: voice.lang };
    return { portion: workOut(facts, given) };
  } catch (error) {
    if (error.name !== "PortionError") throw error;
    return { error: error.sentence };
  }
}
