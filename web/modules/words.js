/** Sentences in the reader's language, from the same files as `shelfcheck/words.py`. */

import { general } from "./numbers.js";

export const LANGUAGES = ["en", "es"];
export const DEFAULT = "en";

/** Return `lang` if the app speaks it, else English. */
export function spoken(lang) {
  return LANGUAGES.includes(lang) ? lang : DEFAULT;
}

/** Return the form for so many of something: "one" up to and with 1, else "other". */
export function form(count) {
  return count > 0 && count <= 1 ? "one" : "other";
}

/**
 * Return the sentence `key` in `lang` with `parts` filled in; an unknown language is English.
 *
 * A sentence with two forms, `{"one": ..., "other": ...}`, is chosen by the part named `count`.
 *
 * @param {import("./facts.js").Facts} facts
 * @param {string} key Such as "doubt.percent".
 * @param {string} lang
 * @param {Object<string, string | number>} parts
 * @returns {string}
 */
export function say(facts, key, lang = DEFAULT, parts = {}) {
  const entry = facts.words[spoken(lang)][key];
  if (entry === undefined) throw new Error(`No sentence is called ${key}`);
  const sentence = typeof entry === "string" ? entry : entry[form(parts.count)];
  return sentence.replace(/\{(\w+)(:g)?\}/g, (_, name, sixDigits) =>
    sixDigits ? general(parts[name]) : String(parts[name]),
  );
}

/** Return the first `most` letters of `text`, counted as Python counts them. */
export function cut(text, most) {
  return Array.from(text).slice(0, most).join("");
}
