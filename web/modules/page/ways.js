/** What the page calls each way to say an amount, and which ways a label has. */

import { labelNoun } from "../amounts.js";
import { byEye, measureName, measures } from "../measures.js";

/** Return the name of a measure for so many of it; the label's own word as the label has it. */
export function nameOf(page, measure, count) {
  const known = measures(page.facts).get(measure);
  if (known) return measureName(known, count, page.voice.lang);
  const key = `page.unit.${measure}`;
  return key in page.facts.words.en ? page.voice.word(key, { count }) : measure;
}

/** Return one press of the stepper for a measure. */
export function stepOf(page, measure) {
  return measures(page.facts).get(measure)?.step ?? 1;
}

/** Return what the table says of a hand measure, such as "Your whole thumb: about 1 tablespoon.", or "". */
export function shown(page, measure) {
  const row = page.facts.measures.measures.find(({ id }) => id === measure);
  return row?.shown?.[page.voice.lang] ?? "";
}

/** Tell whether a measure is a hand or a bowl, and so has a drawing. */
export function isDrawn(page, measure) {
  return byEye(page.facts, measure);
}

/**
 * Return every way to say an amount of this label's food, by group.
 *
 * @param {object} page
 * @param {object | null} panel
 * @returns {{hands: string[], kitchen: string[], pack: string[]}} Ids of measures; the label's own unit comes first.
 */
export function waysToSay(page, panel) {
  const all = [...measures(page.facts).values()];
  const own = labelNoun(page.facts, panel?.serving.household_unit.value ?? "");
  const pack = all.filter(({ kind }) => kind === "piece" || kind === "container").map(({ id }) => id);
  return {
    hands: all.map(({ id }) => id).filter((id) => isDrawn(page, id)),
    kitchen: all.filter(({ kind }) => kind === "spoon" || kind === "scale").map(({ id }) => id),
    pack: own && !measures(page.facts).has(own) ? [own, ...pack] : pack,
  };
}
