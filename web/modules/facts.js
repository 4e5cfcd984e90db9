/**
 * The facts behind the arithmetic: the very files that Python reads, each value with its source.
 * Every module takes them as its first argument, so that the page, the tests and a worker can share one set.
 */

const FILES = {
  labelRules: "data/label_rules.json",
  measures: "data/measures.json",
  foods: "data/foods.json",
  dietRules: "data/diet_rules.json",
  amountWords: "data/amount_words.json",
};
const LANGUAGES = ["en", "es"];

/**
 * @typedef {object} Facts
 * @property {object} labelRules Grids, Daily Values and label units (21 CFR 101.9).
 * @property {object} measures Hand and kitchen measures.
 * @property {object} foods Densities, piece weights and yields.
 * @property {object} dietRules Yardsticks, limits of a plan and the cautions.
 * @property {object} amountWords Nouns that labels print and words around an amount.
 * @property {{en: object, es: object}} words Every sentence by its key.
 */

/**
 * Load every data file.
 *
 * @param {(url: string) => Promise<object>} read Returns the parsed JSON at a URL relative to the page.
 * @returns {Promise<Facts>}
 * @throws {Error} When a file is missing, naming it.
 */
export async function loadFacts(read = fetchJson) {
  const names = Object.keys(FILES);
  const tables = await Promise.all(names.map((name) => read(FILES[name])));
  const sentences = await Promise.all(LANGUAGES.map((lang) => read(`data/words/${lang}.json`)));
  return {
    ...Object.fromEntries(names.map((name, place) => [name, tables[place]])),
    words: Object.fromEntries(LANGUAGES.map((lang, place) => [lang, sentences[place]])),
  };
}

/**
 * Return a function of the facts whose result is worked out once for each set of facts.
 *
 * @template Result
 * @param {(facts: Facts) => Result} build
 * @returns {(facts: Facts) => Result}
 */
export function oncePerFacts(build) {
  const kept = new WeakMap();
  return (facts) => {
    if (!kept.has(facts)) kept.set(facts, build(facts));
    return kept.get(facts);
  };
}

async function fetchJson(url) {
  const response = await fetch(url);
  if (!response.ok) throw new Error(`${url} answered ${response.status}`);
  return response.json();
}
