/** The label as the person is typing or correcting it: texts by path, turned into a panel when it is used. */

import { asFraction, decimals } from "../numbers.js";
import { allRows, numberFrom, rowsOf, SERVING_UNITS } from "./fields.js";

/**
 * @typedef {object} Draft
 * @property {"photo" | "typed"} source
 * @property {object} panel As the photo was read; empty for a typed one.
 * @property {Object<string, string>} texts What stands in each field, by its path.
 * @property {string[]} edited Paths that the person typed in.
 * @property {string[]} confirmed Paths that the person said are right.
 * @property {boolean} percents Whether the % Daily Value column is shown.
 */

/** Return a draft to type into. */
export function emptyDraft() {
  const texts = { "serving.household_unit": "cup", "serving.metric_unit": "g" };
  return { source: "typed", panel: {}, texts, edited: [], confirmed: [], percents: false };
}

/** Return a draft that holds what was read on a photo. */
export function draftFromPanel(facts, panel) {
  const fields = allRows(rowsOf(facts, panel)).flatMap((row) => row.fields);
  const texts = Object.fromEntries(fields.map((field) => [field.path, textOf(panel, field)]));
  return { source: "photo", panel, texts, edited: [], confirmed: [], percents: true };
}

/** Tell whether a person's own work would be lost with this draft. */
export function isTyped(draft) {
  return Boolean(draft && (draft.edited.length || draft.confirmed.length));
}

/** Return the draft with another text at `path`; a changed field is no longer confirmed. */
export function withText(draft, path, text) {
  const owner = ownerOf(path);
  return {
    ...draft,
    texts: { ...draft.texts, [path]: text },
    edited: [...new Set([...draft.edited, owner])],
    confirmed: draft.confirmed.filter((known) => known !== owner),
  };
}

/** Return the draft with the fields at `paths` said to be right. */
export function withConfirmed(draft, paths) {
  return { ...draft, confirmed: [...new Set([...draft.confirmed, ...paths])] };
}

/** Return the path whose state tells of the field at `path`: a nutrient's percentage belongs to the nutrient. */
export function ownerOf(path) {
  return path.replace(/\.(percent_dv|less_than|about|unit)$/, "");
}

/** Return the serving line: as it was read, or put together from what was typed, "2/3 cup (55 g)". */
export function servingText({ panel, texts, edited }, { t }) {
  const read = panel.serving?.text;
  if (read && !edited.some((path) => path.startsWith("serving."))) return read;
  const at = (key) => (texts[`serving.${key}`] ?? "").trim();
  const unit = at("household_unit");
  const count = numberFrom(at("household_amount"));
  const word = SERVING_UNITS.includes(unit) ? t(`unit.${unit}`, { count }) : unit;
  const household = at("household_amount") && `${at("household_amount")} ${word}`.trim();
  const metric =
    at("metric_amount") && `${at("metric_amount")} ${at("metric_unit") === "ml" ? "mL" : at("metric_unit")}`;
  return household && metric ? `${household} (${metric})` : household || metric;
}

/** Tell whether the person has typed in the field at `path`, or said that it is right. */
export function isSettled(draft, path) {
  return draft.edited.includes(path) || draft.confirmed.includes(path);
}

function textOf(panel, { path, kind }) {
  const value = path.split(".").reduce((place, key) => place?.[key], panel);
  if (kind === "number")
    return value?.value === null || value?.value === undefined ? "" : written(path, value.value);
  if (kind === "unit" || kind === "metric") return value?.value ?? "";
  if (kind === "percent") return value === null || value === undefined ? "" : String(value);
  return value ? "yes" : "";
}

function written(path, value) {
  return path === "serving.household_amount" ? asFraction(value) : decimals(value, 3);
}
