/** Dry or cooked: whether the answer changes the numbers of a label's food. */

import { measuredDry } from "../bridges.js";
import { findFood } from "../foods.js";

/** Tell whether an amount in `measure` is another one dry than cooked, so that it must be asked which is meant. */
export function cookingMatters(page, panel, measure) {
  if ("as_prepared" in (panel?.columns ?? {})) return true; // the label has other numbers for it
  if (measuredDry(page.facts, measure)) return false;
  return Boolean(knownFood(page, page.store.state.food || panel?.food)?.cookedPerDry) || isSoldDry(page, panel);
}

/** Tell whether the label itself says that it speaks of the dry food. */
function isSoldDry(page, panel) {
  const words = (panel?.serving.text ?? "").toLowerCase().match(/\p{L}+/gu) ?? [];
  return words.some((one) => page.facts.amountWords.dry.includes(one));
}

function knownFood(page, name) {
  try {
    return name ? findFood(page.facts, name, page.voice.lang) : null;
  } catch {
    return null; // the portion tells what is wrong with the name
  }
}
