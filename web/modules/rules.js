/** US label rules: what a printed amount may stand for, and its share of the Daily Value (21 CFR 101.9). */

import { oncePerFacts } from "./facts.js";
import { roundToStep } from "./numbers.js";

/**
 * @typedef {{low: number, high: number}} Interval Amounts from `low` (included) to `high` (excluded).
 */

/** Every nutrient by its id, in the order of the panel, with its unit, grid, decimals and Daily Values. */
export const nutrients = oncePerFacts(
  (facts) =>
    new Map(
      facts.labelRules.nutrients.map((row) => [row.id, { ...row, grid: facts.labelRules.grids[row.grid] }]),
    ),
);

/** What the label's units hold: `{ml: Map of cup, tbsp, ..., g: Map of oz}`. */
export const labelUnits = oncePerFacts(({ labelRules: { label_units: units } }) => ({
  ml: new Map(Object.entries(units.ml)),
  g: new Map(Object.entries(units.g)),
}));

/** Return the expected amount when nothing but the interval is known. */
export function middle(interval) {
  return (interval.low + interval.high) / 2;
}

/** Return the width over the root of twelve: a rectangular distribution (JCGM 100:2008, 4.3.7). */
export function standardUncertainty(interval) {
  return (interval.high - interval.low) / Math.sqrt(12);
}

/**
 * Return the amounts in one serving that may be printed as `printed`.
 *
 * A number that stands off its grid is taken as good to half a step.
 *
 * @returns {Interval}
 */
export function printedInterval(facts, id, printed, lessThan = false) {
  const { grid } = nutrients(facts).get(id);
  if (lessThan) {
    const words = grid.less_than ?? { from: 0 };
    return { low: printed === words.value ? words.from : 0, high: printed };
  }
  let [low, high, start] = [Infinity, -Infinity, 0];
  for (const band of grid.bands) {
    const end = band.to ?? band.below ?? Infinity;
    if (fits(printed, band.step)) {
      const bottom = Math.max(printed - band.step / 2, start);
      const top = Math.min(printed + band.step / 2, end);
      if (bottom < top) [low, high] = [Math.min(low, bottom), Math.max(high, top)];
    }
    start = end;
  }
  if (printed === 0) [low, high] = [0, Math.max(high, grid.zero_below)];
  else if (grid.zero === "shall") low = Math.max(low, grid.zero_below);
  if (low < high) return { low, high };
  const half = stepAt(grid.bands, printed) / 2;
  return { low: Math.max(0, printed - half), high: printed + half };
}

/** Tell whether a label may lawfully print `printed`; soft grids (minerals) allow any number. */
export function onGrid(nutrient, printed) {
  return Boolean(nutrient.grid.soft) || fits(printed, stepAt(nutrient.grid.bands, printed));
}

/** Return `amount` as a percentage of the Daily Value, unrounded; null where there is none. */
export function percentDv(nutrient, amount, form = "2016") {
  const daily = (form === "1993" ? nutrient.daily_value_1993 : nutrient.daily_value) ?? null;
  return daily === null ? null : (amount / daily) * 100;
}

/** Return the step in which a panel prints `percent` of this nutrient's Daily Value. */
export function percentStep(facts, nutrient, percent) {
  const rule = facts.labelRules.percent_dv;
  return rule.vitamins.includes(nutrient.id) ? stepAt(rule.vitamin_bands, percent) : rule.plain_step;
}

/**
 * Return the least and greatest percentage that may stand beside `printed`, or null without a Daily Value.
 *
 * A maker may take the percentage from the amount before rounding, so 8 g of fat may print 10 or 11 %.
 *
 * @returns {[number, number] | null}
 */
export function lawfulPercents(facts, nutrient, printed, form = "2016", lessThan = false) {
  const { low, high } = printedInterval(facts, nutrient.id, printed, lessThan);
  const ends = [low, high - 1e-6].map((amount) => percentDv(nutrient, amount, form));
  if (ends.includes(null)) return null;
  return ends.map((percent) => roundToStep(percent, percentStep(facts, nutrient, percent)));
}

/** Return the step to which a serving of `amount` g or mL is printed. */
export function metricStep(facts, amount) {
  return stepAt(facts.labelRules.metric_steps.bands, amount);
}

/** Return the step to which `servings` per container are printed. */
export function servingsStep(facts, servings) {
  return stepAt(facts.labelRules.servings_steps.bands, servings);
}

function fits(printed, step) {
  return Math.abs(roundToStep(printed, step) - printed) < step / 1000;
}

function stepAt(bands, amount) {
  const found = bands.find((band) => amount <= (band.to ?? -Infinity) || amount < (band.below ?? -Infinity));
  return (found ?? bands.at(-1)).step;
}
