/** What the shopper's care team set, where they set anything. Nothing is filled in beforehand. */

import { el, fold, setAttribute, write } from "./dom.js";

const FIELDS = ["meal_carbohydrate_g", "day_sodium_mg"];

/** Return the plan's form, folded until the shopper opens it; `place` keeps its ids apart from another one's. */
export function planForm(page, place = "") {
  const { t } = page.voice;
  const { store } = page;
  const fields = FIELDS.map((key) => {
    const id = place ? `${place}-${key}` : key;
    const fault = el("p", { class: "fault", id: `${id}-fault`, hidden: true });
    const input = el("input", {
      id,
      type: "text",
      inputmode: "decimal",
      autocomplete: "off",
      "aria-describedby": fault.id,
    });
    input.value = store.state.plan[key];
    input.addEventListener("input", () =>
      store.update({ plan: { ...store.state.plan, [key]: input.value } }),
    );
    const unit = key.slice(key.lastIndexOf("_") + 1);
    const line = el(
      "div",
      { class: "row-line" },
      el("label", { for: id, text: t(`plan.${key}`) }),
      el("span", { class: "measured" }, input, el("span", { class: "unit", text: unit })),
    );
    return { key, input, fault, element: el("div", { class: "row" }, line, fault) };
  });
  const hint = el("p", { class: "small", text: t("plan.hint") });
  const rows = el("div", { class: "rows" }, ...fields.map((field) => field.element));
  const element = el("div", { class: "plan" }, fold(t("plan.title"), hint, rows));

  function refresh(faults) {
    for (const { key, input, fault } of fields) {
      if (document.activeElement !== input) input.value = store.state.plan[key];
      write(fault, faults[`plan.${key}`] ?? "");
      setAttribute(input, "aria-invalid", faults[`plan.${key}`] && "true");
    }
  }

  return { element, refresh };
}
