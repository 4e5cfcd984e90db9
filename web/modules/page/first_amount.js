/** Where the stepper starts: the measure that suits a label, and how many of it. */

import { labelNoun } from "../amounts.js";
import { householdCount } from "../panel.js";
import { buildPortion } from "../portion.js";
import { waysToSay } from "./ways.js";

/** Which measure suits a label that speaks in this unit; any other label starts with its own unit. */
const SUITING = { cup: "fist", tbsp: "thumb", tsp: "thumb_tip", fl_oz: "cup" };
/** A handy start by weight or volume, where the label gives neither. */
const HANDY = { g: 50, ml: 100 };

/** Return the amount that a new label starts with. */
export function firstAmount(page, panel) {
  const { household_unit: unit, metric_unit: metric } = panel.serving;
  const [own] = waysToSay(page, panel).pack;
  const wanted = [SUITING[unit.value], unit.value, own, "fist", metric.value, "container"].filter(Boolean);
  const measure = wanted.find((id) => !lacking(page, panel, id)) ?? "fist";
  return { measure, count: startCount(page, panel, measure), cooked: false };
}

/** Return how many of a measure to start with: the label's own serving in the label's own units, else one. */
export function startCount(page, panel, measure) {
  if (!panel) return HANDY[measure] ?? 1;
  const { household_unit: unit, metric_unit: metric, metric_amount: weight } = panel.serving;
  if (measure === metric.value && weight.value) return weight.value;
  if (measure === labelNoun(page.facts, unit.value ?? "")) return householdCount(panel.serving) ?? 1;
  return HANDY[measure] ?? 1;
}

/** Return what is lacking to tell a measure in servings: "food", "label", or "" for nothing. */
export function lacking(page, panel, measure) {
  const { food, amount } = page.store.state;
  const one = { count: 1, measure, cooked: amount?.cooked ?? false };
  try {
    buildPortion(page.facts, { panel, amount: one, food: food || null, lang: page.voice.lang });
    return "";
  } catch (error) {
    if (error.name !== "PortionError") throw error;
    return error.fields.food ? "food" : "label";
  }
}
