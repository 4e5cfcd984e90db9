/** The shopper's plan as they typed it. */

import { planFrom } from "../plan.js";
import { numberFrom } from "./fields.js";

/**
 * Return the plan, null for what no care team sets, and the faults of what was typed, by path.
 *
 * @returns {{plan: Object<string, number | null>, faults: Object<string, string>}}
 */
export function ownPlan(page) {
  const plan = {};
  const faults = {};
  for (const [key, text] of Object.entries(page.store.state.plan)) {
    plan[key] = numberFrom(text);
    try {
      planFrom(page.facts, plan, page.voice.lang);
    } catch (error) {
      if (error.name !== "PortionError") throw error;
      plan[key] = null;
      Object.assign(faults, error.fields);
    }
  }
  return { plan, faults };
}
