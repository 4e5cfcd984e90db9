/** Where the stepper starts: the measure that suits a label, and how many of it. */

import { labelNoun } from "../amounts.js";
import { householdCount } from "../panel.js";
import { buildPortion } from "../portion.js";
import { waysToSay } from "./ways.js";

/** Which measures suit a label that speaks in this unit, the fittest first; any other label starts with its own unit. */
const SUITING = {
  cup: ["fist", "bowl", "cup"],
  tbsp: ["thumb", "tbsp"],
  tsp: ["thumb_tip", "tsp"],
  fl_oz: ["cup", "fl_oz"],
};
const NEAREST = 4;
/** A handy start by weight or volume, where the label gives neither. */
const HANDY = { g: 50, ml: 100 };

/** Return the amount that a new label starts with. */
export function firstAmount(page, panel) {
  const { household_unit: unit, metric_unit: metric } = panel.serving;
  const [own] = waysToSay(page, panel).pack;
  const wanted = [...(SUITING[unit.value] ?? []), unit.value, own, "fist", metric.value, "container"].filter(Boolean);
  const measure = wanted.find((id) => !lacking(page, panel, id)) ?? "fist";
  return { measure, count: startCount(page, panel, measure), cooked: null };
}

/** Return an amount as the core takes it: where nobody was asked, dry and cooked are the same. */
export function settled(amount) {
  return { ...amount, cooked: amount.cooked ?? false };
}

/** Return the few measures that most people would take for this label, to be had without a search. */
export function nearest(page, panel) {
  const { household_unit: unit } = panel.serving;
  const [own] = waysToSay(page, panel).pack;
  const wanted = [...(SUITING[unit.value] ?? [own, "fist", "palmful"]), "container"];
  return wanted.filter((id) => !lacking(page, panel, id, false)).slice(0, NEAREST);
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
export function lacking(page, panel, measure, cooked = page.store.state.amount?.cooked ?? null) {
  const { food } = page.store.state;
  const one = settled({ count: 1, measure, cooked });
  try {
    buildPortion(page.facts, { panel, amount: one, food: food || null, lang: page.voice.lang });
    return "";
  } catch (error) {
    if (error.name !== "PortionError") throw error;
    return error.fields.food ? "food" : "label";
  }
}
