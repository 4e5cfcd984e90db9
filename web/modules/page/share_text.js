/** A result in a few plain lines, for a message to somebody. */

import { cautions } from "../insight.js";
import { ends, SHOWN } from "./figures.js";

/**
 * Return a result as text: what it is, four numbers with their ranges, and the cautions.
 *
 * @param {object} page
 * @param {string[]} head Lines that come first: the food, its amount.
 * @param {(id: string) => {value: number, low: number, high: number} | undefined} eaten The range of a nutrient.
 */
export function shareText(page, head, eaten) {
  const { t, word, number, lang } = page.voice;
  const lines = SHOWN.filter((id) => eaten(id)).map((id) => {
    const range = eaten(id);
    const [low, high] = ends(page, id, range);
    const amount = [number(range.value, 1), page.unitOf(id)].filter(Boolean).join(" ");
    return `${word(`nutrient.${id}`)}: ${amount} (${t("numbers.range", { low, high })})`;
  });
  return [...head, ...lines, ...cautions(page.facts, lang)].filter(Boolean).join("\n");
}

/**
 * Hand a text to the phone's own sharing, else copy it.
 *
 * @returns {Promise<string>} What to say of it; "" where the phone says it itself.
 */
export async function hand(page, title, text) {
  const { t } = page.voice;
  try {
    if (navigator.share) return (await navigator.share({ title, text })) ?? "";
    await navigator.clipboard.writeText(text);
    return t("act.copied");
  } catch (error) {
    return error.name === "AbortError" ? "" : t("act.not_shared");
  }
}
