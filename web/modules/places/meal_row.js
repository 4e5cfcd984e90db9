/** One food of the meal: how much of it, what that holds, a stepper, and a way out. */

import { amountText } from "../amounts.js";
import { button, el, write } from "../page/dom.js";
import { BRIEF, written } from "../page/figures.js";
import { stepper } from "../page/stepper.js";
import { nameOf, stepOf } from "../page/ways.js";
import { titleOf } from "./frame.js";

/** Return the row of an item, with `show({item, portion, error})`. */
export function mealRow(page, item, { change, remove }) {
  const { t, word, lang } = page.voice;
  const title = titleOf(page, item);
  const amount = el("span", { class: "meal-amount" });
  const holds = el("p", { class: "small" });
  const fault = el("p", { class: "fault", hidden: true });
  const count = stepper(page, (number) => change(item, number), `meal-${item.id}`);
  count.element.classList.add("in-place", "is-small");
  const out = button(t("meal.remove"), () => remove(item), {
    class: "quiet",
    "aria-label": t("meal.remove_of", { name: title }),
  });
  const row = el(
    "li",
    { class: "meal-row", data: { id: item.id } },
    el("h3", { text: title }),
    amount,
    holds,
    fault,
    el("div", { class: "meal-acts" }, count.element, out),
  );

  row.show = ({ portion, error }) => {
    const { measure, count: number } = item.amount;
    count.show(number, stepOf(page, measure), nameOf(page, measure, number));
    amount.textContent = amountText(page.facts, item.amount, lang);
    const said = BRIEF.filter((id) => portion?.nutrients.has(id)).map(
      (id) => `${written(page, id, portion.nutrients.get(id).range.value)} ${word(`nutrient.${id}`)}`,
    );
    holds.textContent = said.join(" · ");
    write(fault, error ?? "");
  };
  return row;
}
