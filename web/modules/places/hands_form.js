/** Where a size is typed: numbers, their unit, and what the core says against them. */

import { decimals } from "../numbers.js";
import { handBounds, handsFrom } from "../measures.js";
import { el, setAttribute, write } from "../page/dom.js";
import { numberFrom } from "../page/fields.js";
import { unitsOf } from "./hands_sizes.js";

/**
 * Return a form for one number of a hand.
 *
 * @param {object} page
 * @param {object} asked
 * @param {string} asked.name What the core calls the number, such as "fist_ml".
 * @param {string[]} asked.labels One for each input; of two inputs the second less the first is the size.
 * @param {string[]} asked.units Ids of units, the usual one first.
 * @param {(size: number) => void} asked.onSize Called with a size in the core's unit that a hand can have.
 */
export function sizeForm(page, { name, labels, units: ids, onSize }) {
  const { t, word } = page.voice;
  const units = unitsOf(page, ids);
  const fault = el("p", { class: "fault", id: `${name}-fault`, role: "alert", hidden: true });
  const inputs = labels.map((_, place) =>
    el("input", {
      id: `${name}-${place}`,
      type: "text",
      inputmode: "decimal",
      autocomplete: "off",
      "aria-describedby": fault.id,
    }),
  );
  const options = units.map(({ id, name: words }) => el("option", { value: id, text: words }));
  const select = el("select", { "aria-label": t("hands.unit"), class: "hand-unit" }, ...options);
  const rows = labels.map((label, place) =>
    el(
      "div",
      { class: "hand-field" },
      el("label", { for: inputs[place].id, text: label }),
      el(
        "div",
        { class: "hand-number" },
        inputs[place],
        place ? el("span", { class: "hand-same-unit", "aria-hidden": "true" }) : select,
      ),
    ),
  );
  const same = rows.map((row) => row.querySelector(".hand-same-unit")).filter(Boolean);
  const showUnit = () => same.forEach((note) => (note.textContent = unit().name));
  select.addEventListener("change", showUnit);
  showUnit();

  function unit() {
    return units.find(({ id }) => id === select.value) ?? units[0];
  }

  function submit(event) {
    event.preventDefault();
    const size = sizeTyped(inputs.map(({ value }) => numberFrom(value)));
    const wrong = faultOf(size);
    write(fault, wrong);
    for (const input of inputs) setAttribute(input, "aria-invalid", wrong ? "true" : null);
    if (wrong) inputs.at(-1).focus();
    else onSize(size);
  }

  /** Return the size in the core's unit, or what was typed where that is no number. */
  function sizeTyped(numbers) {
    const odd = numbers.findIndex((number) => typeof number !== "number");
    if (odd >= 0) return numbers[odd];
    return (numbers.length > 1 ? numbers[1] - numbers[0] : numbers[0]) * unit().size;
  }

  function faultOf(size) {
    try {
      handsFrom(page.facts, { [name]: size }, page.voice.lang);
      return "";
    } catch (error) {
      if (error.name !== "PortionError") throw error;
      return typeof size === "number" ? bounds() : error.fields[`hands.${name}`];
    }
  }

  /** Say the core's bounds in the unit that was typed. */
  function bounds() {
    const [low, high] = handBounds(page.facts)
      .get(name)
      .map((end) => decimals(end / unit().size, unit().size === 1 ? 0 : 1));
    const parts = { low, high: `${high} ${unit().name}` };
    return labels.length > 1 ? t("hands.rise_between", parts) : word("fault.hands_size", parts);
  }

  return el(
    "form",
    { class: "hand-form", novalidate: true, on: { submit } },
    ...rows,
    fault,
    el("button", { type: "submit", class: "primary" }, el("span", { text: t("hands.use") })),
  );
}
