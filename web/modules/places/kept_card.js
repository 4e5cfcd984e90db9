/** One kept food: its name opens it; beside others, into the meal, another name and letting go stand below. */

import { button, drawing, el, fold } from "../page/dom.js";
import { nameField } from "../page/name_field.js";
import { lineOf, titleOf } from "./frame.js";

/**
 * Return the card of a food.
 *
 * @param {object} page
 * @param {object} food
 * @param {{open: Function, rename: Function, remove: Function, toMeal: Function, toggle: Function}} act Each takes the food.
 */
export function keptCard(page, food, act) {
  const { t } = page.voice;
  const title = titleOf(page, food);
  const of = (key) => ({ "aria-label": t(`kept.${key}_of`, { name: title }) });
  const name = nameField(`name-${food.id}`, food.name ?? "");
  const rename = el(
    "form",
    { class: "rename", on: { submit } },
    el("label", { for: name.id, text: t("kept.name") }),
    name,
    el("button", { type: "submit", class: "quiet", text: t("kept.rename") }),
  );

  function submit(event) {
    event.preventDefault();
    act.rename(food, name.value.trim());
  }

  return el(
    "li",
    { class: "food-card", data: { id: food.id } },
    el(
      "button",
      { type: "button", class: "open", on: { click: () => act.open(food) } },
      el("span", { class: "food-name", text: title }),
      el("span", { class: "small", text: lineOf(page, food) }),
    ),
    el(
      "div",
      { class: "food-acts" },
      button(
        t("kept.beside"),
        () => act.toggle(food),
        { class: "quiet beside-toggle", "aria-pressed": "false", ...of("beside") },
        drawing("tab_compare", "sign"),
      ),
      button(t("kept.to_meal"), () => act.toMeal(food), { class: "quiet", ...of("to_meal") }, drawing("plus", "sign")),
    ),
    fold(
      t("kept.more"),
      rename,
      button(t("kept.remove"), () => act.remove(food), { class: "quiet remove", ...of("remove") }),
    ),
  );
}
