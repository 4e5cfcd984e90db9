/** What comes after the label: its steps and the numbers. It is loaded once the first screen stands. */

import { buildPortion } from "../portion.js";
import { amountStep } from "./amount_step.js";
import { checkStep } from "./check_step.js";
import { cookingMatters } from "./cooking.js";
import { firstAmount, settled } from "./first_amount.js";
import { numbersStep } from "./numbers_step.js";
import { ownPlan } from "./own_plan.js";
import { reviewDraft } from "./review.js";

/** The steps after the first, each by its name. */
export const steps = { check: checkStep, amount: amountStep, numbers: numbersStep };

/**
 * Return the numbers of the label that is open, null before there is one.
 *
 * @param {object} page
 * @returns {{panel: object | null, portion?: object, error?: Error, open?: "cooked", planFaults?: object} | null} The
 *   panel with the portion, with the error that says what is missing, or with the question that is open.
 */
export function workOut(page) {
  const { draft, opened } = page.store.state;
  if (!draft || !opened) return null;
  const { panel } = reviewDraft(page.facts, draft, page.voice);
  if (!panel) return { panel: null };
  page.store.state.amount ??= firstAmount(page, panel);
  return { panel, ...portionOf(page, panel) };
}

function portionOf(page, panel) {
  const { amount, food, hands } = page.store.state;
  const { plan, faults: planFaults } = ownPlan(page);
  if (amount.cooked === null && cookingMatters(page, panel, amount.measure)) return { open: "cooked", planFaults };
  const given = { panel, amount: settled(amount), food: food || null, hands, plan, lang: page.voice.lang };
  try {
    return { portion: { ...buildPortion(page.facts, given), plan }, planFaults };
  } catch (error) {
    if (error.name !== "PortionError") throw error;
    return { error, planFaults };
  }
}
