/** The rows of the label form, and what people type in them. */

import { CORE, MANDATORY } from "../panel.js";
import { nutrients } from "../rules.js";

/** Kitchen units and common nouns of the serving line; any other word may be typed. */
export const SERVING_UNITS = [
  ...["cup", "tbsp", "tsp", "fl_oz", "oz"],
  ...["piece", "slice", "cracker", "cookie", "bar", "tortilla", "container", "package", "bottle", "can"],
];

/**
 * @typedef {{path: string, kind: "number" | "percent" | "unit" | "metric" | "about" | "less"}} Field
 *   One input; `path` is where its value stands in the panel's JSON.
 * @typedef {object} Row
 * @property {string} id
 * @property {string} label The key of its name in the word files.
 * @property {Field[]} fields
 * @property {string | null} unit The unit printed after a nutrient's amount ("" for calories); null for the serving.
 * @property {string | null} lessThan What the label prints after "less than" for this nutrient, else null.
 */

const SERVING_ROWS = [
  row("household", "field.household_amount", [
    "serving.household_amount:number",
    "serving.household_unit:unit",
  ]),
  row("metric", "field.metric_amount", ["serving.metric_amount:number", "serving.metric_unit:metric"]),
  row("servings", "field.servings_per_container", [
    "serving.servings_per_container:number",
    "serving.servings_per_container.about:about",
  ]),
];
const PIECES = row("pieces", "field.pieces", ["serving.pieces:number"]);

/**
 * Return the rows of a label in three groups: what is asked first, the other lines, and other columns.
 *
 * @param {import("../facts.js").Facts} facts
 * @param {object} panel The panel that was read, or an empty one; its nutrients and columns are all given rows.
 * @returns {{main: Row[], more: Row[], columns: Object<string, Row[]>}}
 */
export function rowsOf(facts, panel) {
  const shown = [...nutrients(facts).keys()].filter(
    (id) => MANDATORY.includes(id) || id in (panel.nutrients ?? {}),
  );
  const more = shown.filter((id) => !CORE.includes(id)).map((id) => nutrientRow(facts, id, "nutrients"));
  const columns = Object.entries(panel.columns ?? {}).map(([name, column]) => [
    name,
    Object.keys(column).map((id) => nutrientRow(facts, id, `columns.${name}`)),
  ]);
  return {
    main: [...SERVING_ROWS, ...CORE.map((id) => nutrientRow(facts, id, "nutrients"))],
    more: [PIECES, ...more],
    columns: Object.fromEntries(columns),
  };
}

/** Return every row of a label in one list. */
export function allRows({ main, more, columns }) {
  return [...main, ...more, ...Object.values(columns).flat()];
}

/**
 * Return the number that `text` says, null for nothing, or the text itself where it is no number.
 *
 * Fractions ("2/3", "1 1/2", "1½") and a decimal comma are numbers; "1,200" is one thousand two hundred.
 */
export function numberFrom(text) {
  const plain = withoutGlyphs(text.trim().replace(/^<\s*/, ""));
  if (plain === "") return null;
  const mixed = /^(?:(\d+)\s+)?(\d+)\s*\/\s*([1-9]\d*)$/.exec(plain);
  if (mixed) return Number(mixed[1] ?? 0) + Number(mixed[2]) / Number(mixed[3]);
  const figures = plain.replace(/^([1-9]\d{0,2}),(\d{3})$/, "$1$2").replace(/^(-?\d*),(\d+)$/, "$1.$2");
  return /^-?(\d+\.?\d*|\.\d+)$/.test(figures) ? Number(figures) : text;
}

function withoutGlyphs(text) {
  const glyphs = {
    "½": "1/2",
    "⅓": "1/3",
    "⅔": "2/3",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
  };
  return text.replace(/[½⅓⅔¼¾⅛⅜⅝⅞]/g, (glyph) => ` ${glyphs[glyph]}`).trim();
}

function nutrientRow(facts, id, parent) {
  const nutrient = nutrients(facts).get(id);
  const path = `${parent}.${id}`;
  const fields = [
    `${path}:number`,
    nutrient.daily_value && `${path}.percent_dv:percent`,
    `${path}.less_than:less`,
  ];
  const lessThan = nutrient.grid.less_than?.value;
  return {
    ...row(path, `nutrient.${id}`, fields.filter(Boolean), id === "energy" ? "" : nutrient.unit),
    lessThan: lessThan ? String(lessThan) : null,
  };
}

function row(id, label, fields, unit = null) {
  const split = (field) => ({
    path: field.slice(0, field.indexOf(":")),
    kind: field.slice(field.indexOf(":") + 1),
  });
  return { id, label, fields: fields.map(split), unit, lessThan: null };
}
