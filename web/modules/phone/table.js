/** Kept foods as a table: one food in a row, what its label prints for one serving, and the amount eaten. */

import dsv from "../../vendor/dsv.js";
import { MANDATORY } from "../panel.js";
import { nutrients } from "../rules.js";

const { parseRows, formatRows } = dsv(",");
const SERVING = ["household_amount", "household_unit", "metric_amount", "metric_unit", "servings_per_container"];
const ABOUT = ["name", "food", "count", "measure", "cooked"];
/**
 * A table program runs a cell that begins so as a formula, some also in full width (OWASP, CSV injection); one more
 * apostrophe before it stops that, and is taken away again where the table is read.
 */
const FORMULA = /^'*[=+\-@\t\r\n＝＋－＠]/;

/** Return the foods as the text of a CSV file. */
export function toCsv(facts, foods) {
  const ids = [...nutrients(facts).keys()];
  const head = [...ABOUT, ...SERVING, ...ids.flatMap((id) => [`${id}_${nutrients(facts).get(id).unit}`, `${id}_dv`])];
  const rows = foods.map(({ name, food, amount, panel }) => [
    ...[safe(name), safe(food), amount.count, safe(amount.measure), amount.cooked ? "yes" : ""],
    ...SERVING.map((key) => safe(panel.serving[key]?.value ?? "")),
    ...ids.flatMap((id) => cellsOf(panel.nutrients[id])),
  ]);
  return formatRows([head, ...rows]);
}

/** Return what stands in the text of a CSV file, unchecked; null when it is no table of ours. */
export function fromCsv(facts, text) {
  const [head, ...rows] = parseRows(text.replace(/^\uFEFF/, "").trim());
  if (!head?.includes("name") || !SERVING.some((key) => head.includes(key))) return null;
  return rows.map((cells) => {
    const cell = Object.fromEntries(head.map((key, place) => [key, unsafe(cells[place] ?? "")]));
    const column = Object.fromEntries(
      [...nutrients(facts).values()].map(({ id, unit }) => [id, declared(cell[`${id}_${unit}`], cell[`${id}_dv`])]),
    );
    const serving = SERVING.map((key) => [key, { value: key.endsWith("unit") ? cell[key] || null : numeric(cell[key]) }]);
    const told = Object.entries(column).filter(([id, { value }]) => value !== null || MANDATORY.includes(id));
    return {
      name: cell.name,
      food: cell.food ?? "",
      amount: { count: numeric(cell.count) ?? 1, measure: cell.measure || "fist", cooked: cell.cooked === "yes" },
      panel: { serving: Object.fromEntries(serving), nutrients: Object.fromEntries(told) },
    };
  });
}

function cellsOf(printed) {
  if (!printed || printed.value === null) return ["", printed?.percent_dv ?? ""];
  return [`${printed.less_than ? "<" : ""}${printed.value}`, printed.percent_dv ?? ""];
}

function declared(text = "", percent = "") {
  const less = text.trim().startsWith("<");
  return { value: numeric(text.replace("<", "")), percent_dv: numeric(percent), less_than: less };
}

/** Return the number in a cell, null for an empty one, and the text itself where it is no number, for the check to tell. */
function numeric(text = "") {
  const trimmed = text.trim();
  if (!trimmed) return null;
  const number = Number(trimmed);
  return Number.isNaN(number) ? trimmed : number;
}

function safe(value) {
  return typeof value === "string" && FORMULA.test(value) ? `'${value}` : value;
}

function unsafe(text) {
  return text.startsWith("'") && FORMULA.test(text.slice(1)) ? text.slice(1) : text;
}
