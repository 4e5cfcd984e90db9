/** So many of a measure, in words; the parts of `shelfcheck/amounts.py` that the page needs. */

import { PortionError } from "./errors.js";
import { oncePerFacts } from "./facts.js";
import { measureName, measures } from "./measures.js";
import { allDigits, asFraction } from "./numbers.js";
import { cut, say } from "./words.js";

const MOST = 10000;
const LONGEST_TEXT = 120;
const TOKEN = /\d+\/\d+|\d+(?:[.,]\d+)?|[.,]\d+|&|\p{L}+\.?/gu;

/**
 * @typedef {object} Amount
 * @property {number} count
 * @property {string} measure A measure's id, or the label's own printed unit in the singular ("cracker").
 * @property {boolean} cooked When a food that is sold dry is meant as eaten.
 */

const nouns = oncePerFacts(({ amountWords: table }) => {
  const rows = [...Object.entries(table.nouns), ...Object.entries(table.containers)];
  return new Map(rows.flatMap(([noun, forms]) => [noun, ...forms].map((form) => [form, noun])));
});

/** Every word that people write for a measure, with the measure's id. */
const vocabulary = oncePerFacts((facts) => {
  const known = new Map();
  for (const { id, name, say: others } of facts.measures.measures) {
    const names = Object.values(name).flatMap((forms) => Object.values(forms));
    for (const word of [id, ...names, ...others]) known.set(tokens(word), id);
  }
  return known;
});

/**
 * Return the amount of so many of a measure, named by its id, its words or the label's own unit.
 *
 * @returns {Amount}
 * @throws {PortionError} `bad_amount` when the count is not above 0, or beyond what anyone eats.
 */
export function amountFrom(facts, { count, measure, cooked }, lang) {
  const word = cut(measure, LONGEST_TEXT).normalize("NFC"); // some systems part accents from their letters
  const known = vocabulary(facts).get(tokens(word)) ?? labelNoun(facts, word);
  return { count: checkCount(facts, count, lang), measure: known, cooked: Boolean(cooked) };
}

/** Return the amount in words: "1 1/2 fists", "2 cups cooked", "3 crackers". */
export function amountText(facts, { count, measure, cooked }, lang) {
  const fraction = asFraction(count);
  const number = sumOf(fraction) === count ? fraction : allDigits(count);
  const words = `${number} ${measureWords(facts, measure, count, lang)}`;
  return cooked ? `${words} ${say(facts, "amount.cooked", lang)}` : words;
}

/** Return the name of a measure, or of the label's own unit, for so many of it. */
export function measureWords(facts, measure, count, lang) {
  const known = measures(facts).get(measure);
  if (known) return measureName(known, count, lang);
  const { nouns: things, containers } = facts.amountWords;
  const forms = [things, containers].find((words) => Object.hasOwn(words, measure))?.[measure] ?? [measure];
  return count > 0 && count <= 1 ? measure : forms[0];
}

/** Return a printed unit in the singular: "Crackers" is "cracker", "slices" is "slice". */
export function labelNoun(facts, printed) {
  const word = printed.normalize("NFC").trim().toLowerCase().replace(/\.+$/, "");
  const plural = word.length > 3 && word.endsWith("s") && !word.endsWith("ss");
  return nouns(facts).get(word) ?? (plural ? word.slice(0, -1) : word);
}

/** Tell whether a label's unit, in the singular, is a package of some kind ("can", "package"). */
export function isContainer(facts, noun) {
  return Object.hasOwn(facts.amountWords.containers, noun);
}

function checkCount(facts, count, lang) {
  if (typeof count === "number" && count > 0 && count <= MOST) return count;
  const message = say(facts, "error.amount_size", lang, { most: MOST });
  throw new PortionError("bad_amount", message, { "amount.count": message });
}

function tokens(text) {
  return (text.toLowerCase().match(TOKEN) ?? []).join(" ");
}

function sumOf(fraction) {
  const values = fraction.split(" ").map((part) => part.split("/").map(Number));
  return values.reduce((sum, [top, bottom = 1]) => sum + top / bottom, 0);
}
