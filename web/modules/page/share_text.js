/** A result in a few plain lines, for a message to somebody. */

const SAID = ["energy", "carbohydrate", "fat", "sodium"];

/** Return the result of now as text: the amount, four numbers with their ranges, and that it is an estimate. */
export function shareText(page, name) {
  const { t, word, number } = page.voice;
  const { portion } = page.result;
  const lines = SAID.filter((id) => portion.nutrients[id]).map((id) => {
    const { value, low, high } = portion.nutrients[id];
    const unit = page.unitOf(id);
    const parts = { low: number(low, low < 10 ? 1 : 0), high: number(high, high < 10 ? 1 : 0) };
    const amount = [number(value, 1), unit].filter(Boolean).join(" ");
    return `${word(`nutrient.${id}`)}: ${amount} (${t("numbers.range", parts)})`;
  });
  const servings = t("numbers.equals", {
    amount: portion.amount.text,
    servings: number(portion.servings.value, 2),
    count: portion.servings.value,
  });
  return [name, servings, ...lines, word("caution.estimate")].filter(Boolean).join("\n");
}
