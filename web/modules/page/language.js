/** The page's voice: sentences and numbers in the shopper's language. */

import { LANGUAGES, say } from "../words.js";
import { roundHalfUp } from "../numbers.js";

/** Each language as its button says it, and by its own name. */
export const LANGUAGE_NAMES = { en: ["EN", "English"], es: ["ES", "Español"] };
/** Numbers and times as people in the United States write them, in either language. */
const LOCALES = { en: "en-US", es: "es-US" };

/**
 * Return the functions that speak `lang`.
 *
 * `t(key, parts)` says a sentence of the page ("page." goes before the key); `word(key, parts)` says any sentence;
 * `number(value, decimals)` writes a number with ties going up; `time(date)` a day and time.
 */
export function voice(facts, lang) {
  const word = (key, parts) => say(facts, key, lang, parts);
  const number = (value, decimals = 0) => figures(lang, decimals).format(roundHalfUp(value, decimals));
  const time = (date) => clock(lang).format(date);
  return { lang, word, number, time, t: (key, parts) => word(`page.${key}`, parts) };
}

// A browser takes a tenth of a second to make the first of these on an old phone.
const figures = once((lang, decimals) => new Intl.NumberFormat(LOCALES[lang], { maximumFractionDigits: decimals }));
const clock = once((lang) => new Intl.DateTimeFormat(LOCALES[lang], { dateStyle: "medium", timeStyle: "short" }));

/** Return a function that makes each thing when it is first asked for, and keeps it. */
function once(make) {
  const made = new Map();
  return (...asked) => {
    const key = asked.join();
    if (!made.has(key)) made.set(key, make(...asked));
    return made.get(key);
  };
}

/** Return the language that the person chose, else the first that the browser asks for and we speak, else English. */
export function firstLanguage(chosen) {
  if (LANGUAGES.includes(chosen)) return chosen;
  const asked = navigator.languages.map((tag) => tag.slice(0, 2).toLowerCase());
  return asked.find((lang) => LANGUAGES.includes(lang)) ?? LANGUAGES[0];
}
