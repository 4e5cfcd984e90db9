/** The page's voice: sentences and numbers in the shopper's language. */

import { LANGUAGES, say } from "../words.js";
import { roundHalfUp } from "../numbers.js";

/** Numbers as people in the United States write them, in either language. */
const LOCALES = { en: "en-US", es: "es-US" };

/**
 * Return the functions that speak `lang`.
 *
 * `t(key, parts)` says a sentence of the page ("page." goes before the key); `word(key, parts)` says any sentence;
 * `number(value, decimals)` writes a number with ties going up.
 */
export function voice(facts, lang) {
  const word = (key, parts) => say(facts, key, lang, parts);
  const number = (value, decimals = 0) => {
    const format = new Intl.NumberFormat(LOCALES[lang], { maximumFractionDigits: decimals });
    return format.format(roundHalfUp(value, decimals));
  };
  return { lang, word, number, t: (key, parts) => word(`page.${key}`, parts) };
}

/** Return the language that the person chose, else the first that the browser asks for and we speak, else English. */
export function firstLanguage(chosen) {
  if (LANGUAGES.includes(chosen)) return chosen;
  const asked = navigator.languages.map((tag) => tag.slice(0, 2).toLowerCase());
  return asked.find((lang) => LANGUAGES.includes(lang)) ?? LANGUAGES[0];
}
