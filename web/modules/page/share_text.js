/** A result in a few plain lines, for a message to somebody. */

import { ends, SHOWN } from "./figures.js";

/** Return the result of now as text: the amount, four numbers with their ranges, and that it is an estimate. */
export function shareText(page, name) {
  const { t, word, number } = page.voice;
  const { portion } = page.result;
  const lines = SHOWN.filter((id) => portion.nutrients[id]).map((id) => {
    const eaten = portion.nutrients[id];
    const [low, high] = ends(page, id, eaten);
    const amount = [number(eaten.value, 1), page.unitOf(id)].filter(Boolean).join(" ");
    return `${word(`nutrient.${id}`)}: ${amount} (${t("numbers.range", { low, high })})`;
  });
  const servings = t("numbers.equals", {
    amount: portion.amount.text,
    servings: number(portion.servings.value, 2),
    count: portion.servings.value,
  });
  return [name, servings, ...lines, word("caution.estimate")].filter(Boolean).join("\n");
}
