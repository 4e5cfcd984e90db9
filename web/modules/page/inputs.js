/** The inputs of the label form: figures, units, and boxes for what a label may say besides. */

import { el, setAttribute } from "./dom.js";
import { SERVING_UNITS } from "./fields.js";

const OTHER = "other";
const FRACTIONAL = "serving.household_amount";
const PARTS_OF_A_CUP = ["1/4", "1/3", "1/2", "2/3", "3/4"];

/**
 * Return the input of a field.
 *
 * @param {object} page
 * @param {import("./fields.js").Row} row
 * @param {import("./fields.js").Field} field
 * @param {string} id
 * @param {string[]} describedBy Ids of what is said about the row.
 * @param {{onText: (path: string, text: string) => void, onSettle: () => void}} act
 * @returns {{field: object, control: HTMLElement, element: HTMLElement, isBox: boolean, below?: HTMLElement,
 *   show: (draft: object, faulty: boolean) => void}} `below`: what stands under the whole row.
 */
export function fieldInput(page, row, field, id, describedBy, act) {
  const hear = (control) => {
    control.addEventListener("input", () => act.onText(field.path, valueOf(control)));
    control.addEventListener("change", act.onSettle);
    setAttribute(control, "aria-describedby", describedBy.join(" "));
    return control;
  };
  const makers = {
    number: textInput,
    percent: textInput,
    unit: unitInput,
    metric: metricInput,
    about: box,
    less: box,
  };
  const made = makers[field.kind]({ page, row, field, id, hear, act });
  return { field, isBox: makers[field.kind] === box, ...made };
}

function textInput({ page, row, field, id, hear }) {
  const { t, word } = page.voice;
  const percent = field.kind === "percent";
  const named = percent ? { "aria-label": t("check.percent_of", { field: word(row.label) }) } : {};
  const control = hear(
    el("input", {
      id,
      type: "text",
      inputmode: "decimal",
      autocomplete: "off",
      enterkeyhint: "next",
      ...named,
    }),
  );
  const parts = field.path === FRACTIONAL ? fractions(page, control) : null;
  const hasUnit = percent || row.unit !== null; // calories keep the room, so that the figures stand in line
  const unit = hasUnit && el("span", { class: "unit", text: percent ? "%" : row.unit });
  const element = el("span", { class: `measured ${field.kind}` }, control, unit);
  const show = (draft, faulty) => {
    keepValue(control, draft.texts[field.path] ?? "");
    setAttribute(control, "aria-invalid", faulty && "true");
    if (percent) element.hidden = !draft.percents;
  };
  return { control, element, show, below: parts };
}

/** Buttons for the parts of a cup: many number pads have no stroke to write 2/3 with. */
function fractions(page, control) {
  const put = (fraction) => {
    const [whole] = control.value.trim().match(/^\d+(?![\d/.,])/) ?? [""];
    control.value = `${whole} ${fraction}`.trim();
    for (const kind of ["input", "change"]) control.dispatchEvent(new Event(kind, { bubbles: true }));
  };
  const props = { type: "button", class: "quiet fraction" };
  const buttons = PARTS_OF_A_CUP.map((fraction) =>
    el("button", { ...props, text: fraction, on: { click: () => put(fraction) } }),
  );
  const label = page.voice.t("check.fractions");
  return el("span", { class: "fractions", role: "group", "aria-label": label }, ...buttons);
}

function unitInput({ page, field, id, hear, act }) {
  const { t, word } = page.voice;
  const options = SERVING_UNITS.map((unit) => option(unit, t(`unit.${unit}`, { count: 1 })));
  const select = el(
    "select",
    { id, "aria-label": word("field.household_unit") },
    ...options,
    option(OTHER, t("unit.other")),
  );
  const own = hear(
    el("input", {
      type: "text",
      autocomplete: "off",
      autocapitalize: "none",
      maxlength: "40",
      "aria-label": t("unit.own_word"),
      hidden: true,
    }),
  );
  select.addEventListener("change", () => {
    act.onText(field.path, select.value === OTHER ? "" : select.value);
    act.onSettle();
    if (select.value === OTHER) own.focus();
  });
  const element = el("span", { class: "unit-choice" }, select, own);
  const show = (draft) => {
    const text = draft.texts[field.path] ?? "";
    const known = SERVING_UNITS.includes(text);
    keepValue(select, known ? text : OTHER);
    own.hidden = known;
    keepValue(own, known ? "" : text);
  };
  return { control: select, element, show };
}

function metricInput({ page, field, id, hear }) {
  const named = { id, "aria-label": page.voice.word("field.metric_unit") };
  const select = hear(el("select", named, option("g", "g"), option("ml", "mL")));
  const show = (draft) => keepValue(select, draft.texts[field.path] || "g");
  return { control: select, element: select, show };
}

/** A box for "about" or "less than": shown only where the label may print it. */
function box({ page, row, field, id, hear }) {
  const control = hear(el("input", { type: "checkbox", id }));
  const words = page.voice.t(field.kind === "about" ? "check.about" : "check.less_than", {
    most: row.lessThan,
    unit: row.unit,
  });
  const element = el("label", { class: "box" }, control, el("span", { text: words }));
  const show = (draft) => {
    control.checked = draft.texts[field.path] === "yes";
    element.hidden =
      field.kind === "less" && !control.checked && draft.texts[row.fields[0].path]?.trim() !== row.lessThan;
  };
  return { control, element, show };
}

function option(value, text) {
  return el("option", { value, text });
}

function valueOf(control) {
  if (control.type === "checkbox") return control.checked ? "yes" : "";
  return control.value;
}

/** Set a value without moving the cursor of the one who types. */
function keepValue(control, value) {
  if (control.value !== value) control.value = value;
}
