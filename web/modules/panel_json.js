/**
 * Reads a panel from JSON, typed or kept; every fault is told at once, keyed by its path.
 * The same truth about what a panel may hold as `shelfcheck/panel_json.py`.
 */

import { PortionError } from "./errors.js";
import { FieldReader, isMapping, LONGEST } from "./field_reader.js";
import { MANDATORY } from "./panel.js";
import { nutrients } from "./rules.js";
import { cut, say } from "./words.js";

const COLUMNS = ["as_prepared", "per_container", "per_unit"];
const FORMS = ["2016", "1993"];
const METRIC = { g: "g", gram: "g", grams: "g", ml: "ml", milliliter: "ml", milliliters: "ml" };
const UNITS = { "fl oz": "fl_oz", tablespoon: "tbsp", teaspoon: "tsp", ounce: "oz", "fluid ounce": "fl_oz" };
const MOST_PERCENT = 100000;

/**
 * Return the panel that `raw` (parsed JSON) describes, every field in full and without doubts.
 *
 * Amounts may be bare numbers or objects with `value` and `state`; a state left out is "sure".
 *
 * @param {import("./facts.js").Facts} facts
 * @param {object} raw
 * @param {string} lang
 * @returns {object} A panel in the form of the contract.
 * @throws {PortionError} `invalid_input` with one sentence for each fault in `fields`.
 */
export function panelFromJson(facts, raw, lang) {
  const reader = new PanelReader(facts, lang);
  const panel = reader.panel(raw);
  if (reader.faults.size) {
    const message = say(facts, "error.panel_faults", lang);
    throw new PortionError("invalid_input", message, Object.fromEntries(reader.faults));
  }
  return panel;
}

/** Reads one panel. */
class PanelReader extends FieldReader {
  panel(raw) {
    const top = this.mapping(raw, "panel");
    const form = String(top.form || "2016");
    this.known(form, FORMS, "form");
    const columns = Object.entries(this.mapping(top.columns || {}, "columns"))
      .filter(([name]) => this.known(name, COLUMNS, `columns.${name}`))
      .map(([name, column]) => [name, this.column(column, `columns.${name}`)]);
    const named = ["name", "food"].map((key) => [key, this.text(top[key], key)]).filter(([, text]) => text);
    return {
      serving: this.serving(this.mapping(top.serving, "serving")),
      nutrients: this.inFull(this.column(top.nutrients, "nutrients")),
      columns: Object.fromEntries(columns),
      doubts: [],
      form,
      ...Object.fromEntries(named),
    };
  }

  serving(raw) {
    const { limits } = this.facts.labelRules;
    const amount = (key, most = limits[key]) => this.amount(raw[key], `serving.${key}`, most);
    const withAbout = (key, most) => ({ ...amount(key, most), about: this.about(raw[key]) });
    return {
      household_amount: withAbout("household_amount"),
      household_unit: this.unit(raw.household_unit, "serving.household_unit"),
      metric_amount: amount("metric_amount"),
      metric_unit: this.metric(raw.metric_unit, "serving.metric_unit"),
      servings_per_container: withAbout("servings_per_container"),
      pieces: withAbout("pieces", limits.household_amount),
      text: this.text(raw.text, "serving.text"),
    };
  }

  amount(raw, path, most) {
    const { value, state } = this.stated(raw, path);
    const number = this.number(value, path, most);
    if (number !== null && number < this.facts.labelRules.limits.least) this.fault(path, "zero");
    return number ? { value: number, state } : { value: null, state: "missing" };
  }

  about(raw) {
    return isMapping(raw) && Boolean(raw.value && raw.about);
  }

  unit(raw, path) {
    const { value, state } = this.stated(raw, path);
    const text = this.text(value, path).trim().toLowerCase();
    return text ? { value: lookUp(UNITS, text) ?? text, state } : { value: null, state: "missing" };
  }

  metric(raw, path) {
    const word = this.unit(raw, path);
    if (word.value === null) return word;
    const value = lookUp(METRIC, word.value);
    if (value === null) this.fault(path, "metric_unit");
    return { value, state: word.state };
  }

  column(raw, path) {
    const column = {};
    for (const [key, value] of Object.entries(this.mapping(raw, path))) {
      const nutrient = nutrients(this.facts).get(key);
      if (nutrient) column[key] = this.declared(value, nutrient, `${path}.${key}`);
      else this.fault(`${path}.${key}`, "unknown_nutrient", { name: cut(key, LONGEST) });
    }
    return column;
  }

  /** Return the column in the order of a panel, with what every full panel names. */
  inFull(column) {
    const missing = { value: null, percent_dv: null, less_than: false, state: "missing" };
    const known = [...nutrients(this.facts).values()].filter(({ id }) => id in column || MANDATORY.includes(id));
    return Object.fromEntries(known.map(({ id, unit }) => [id, column[id] ?? { ...missing, unit }]));
  }

  declared(raw, nutrient, path) {
    const { value, state, extra } = this.stated(raw, path);
    const { unit, most } = nutrient;
    const number = this.number(value, path, most);
    if (![null, unit].includes(extra.unit ?? null)) this.fault(`${path}.unit`, "unit", { unit });
    const percent = this.number(extra.percent_dv, `${path}.percent_dv`, MOST_PERCENT);
    return {
      value: number,
      unit,
      percent_dv: percent,
      less_than: extra.less_than === true,
      state: number === null && percent === null ? "missing" : state,
    };
  }
}

function lookUp(table, key) {
  return Object.hasOwn(table, key) ? table[key] : null;
}
