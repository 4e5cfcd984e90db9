/** Which food it is, and whether it is counted dry or cooked: asked only where the answer changes the numbers. */

import { measuredDry } from "../bridges.js";
import { foods } from "../foods.js";
import { cookingMatters, knownFood } from "./cooking.js";
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
  input.addEventListener("input", () => knownFood(page, input.value.trim()) && onFood(input.value.trim()));
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
  const question = button(t("amount.cooked_question"), ask, { class: "quiet" });
  const element = el("div", { class: "food-choice" }, field, cookedSwitch);

  function ask() {
    asked = true;
    onCooked(true);
    input.focus();
  }

  function refresh({ error, panel, open }) {
    const { food, amount } = page.store.state;
    const wanted = error?.fields.food ?? "";
    const asSold = measuredDry(page.facts, amount.measure);
    const matters = cookingMatters(page, panel, amount.measure) || (amount.cooked && !asSold);
    write(fault, wanted);
    fault.className = food ? "fault" : "doubt"; // before anything is typed it is a question, and no mistake
    setAttribute(input, "aria-invalid", food && wanted ? "true" : null);
    if (document.activeElement !== input) input.value = food;
    field.hidden = !(wanted || food || asked);
    cookedSwitch.hidden = !matters;
    cookedSwitch.classList.toggle("is-open", open === "cooked");
    question.hidden = !field.hidden || matters || asSold;
    radios[0].checked = amount.cooked === false;
    radios[1].checked = amount.cooked === true;
  }

  return { element, question, refresh };
}
