/** Which food it is, and whether it is counted dry or cooked: asked only where the answer changes the numbers. */

import { findFood, foods } from "../foods.js";
import { button, el, setAttribute, write } from "./dom.js";

/**
 * Return the food field and the dry-or-cooked choice.
 *
 * @param {object} page
 * @param {{onFood: (name: string) => void, onCooked: (cooked: boolean) => void}} act
 * @returns {{element: HTMLElement, question: HTMLElement, refresh: (result: object) => void}}
 */
export function foodChoice(page, { onFood, onCooked }) {
  const { t, lang } = page.voice;
  let asked = false;
  const names = [...foods(page.facts).values()]
    .map(({ names: known }) => known[lang])
    .sort((a, b) => a.localeCompare(b, lang));
  const list = el("datalist", { id: "food-names" }, ...names.map((name) => el("option", { value: name })));
  const input = el("input", {
    id: "food",
    type: "text",
    list: "food-names",
    autocomplete: "off",
    autocapitalize: "none",
    enterkeyhint: "done",
    "aria-describedby": "food-hint food-fault",
  });
  input.addEventListener("change", () => onFood(input.value.trim()));
  const fault = el("p", { class: "fault", id: "food-fault", role: "alert", hidden: true });
  const field = el(
    "div",
    { class: "food" },
    el("label", { for: "food", text: t("amount.food") }),
    input,
    list,
    el("p", { class: "small", id: "food-hint", text: t("amount.food_hint") }),
    fault,
  );
  const radios = [false, true].map((cooked) =>
    el("input", {
      type: "radio",
      name: "cooked",
      value: String(cooked),
      on: { change: () => onCooked(cooked) },
    }),
  );
  const words = [t("amount.dry"), t("amount.cooked")];
  const choices = radios.map((radio, place) =>
    el("label", { class: "switch-side" }, radio, el("span", { text: words[place] })),
  );
  const cookedSwitch = el(
    "fieldset",
    { class: "switch" },
    el("legend", { text: t("amount.dry_or_cooked") }),
    el("div", { class: "switch-sides" }, ...choices),
  );
  const question = button(t("amount.cooked_question"), open, { class: "quiet" });
  const element = el("div", { class: "food-choice" }, field, cookedSwitch);

  function open() {
    asked = true;
    page.refresh();
    input.focus();
  }

  function refresh({ error, panel }) {
    const { food, amount } = page.store.state;
    const wanted = error?.fields.food ?? "";
    const known = foundFood(food || panel?.food);
    const swells = amount.cooked || Boolean(known?.cookedPerDry) || isSoldDry(panel);
    write(fault, food || amount.cooked || asked || wanted ? wanted : "");
    setAttribute(input, "aria-invalid", food && wanted ? "true" : null);
    if (document.activeElement !== input) input.value = food;
    field.hidden = !(wanted || food || asked);
    cookedSwitch.hidden = !swells;
    question.hidden = !field.hidden || swells;
    radios[0].checked = !amount.cooked;
    radios[1].checked = amount.cooked;
  }

  /** Tell whether the label itself says that it speaks of the dry food. */
  function isSoldDry(panel) {
    const words = (panel?.serving.text ?? "").toLowerCase().match(/\p{L}+/gu) ?? [];
    return (
      "as_prepared" in (panel?.columns ?? {}) || words.some((one) => page.facts.amountWords.dry.includes(one))
    );
  }

  function foundFood(name) {
    try {
      return name ? findFood(page.facts, name, lang) : null;
    } catch {
      return null; // the portion tells what is wrong with the name
    }
  }

  return { element, question, refresh };
}
