/**
 * The facts behind the arithmetic: the very values that Python reads, whose files name the source of each.
 * Every module takes them as its first argument, so that the page, the tests and a worker can share one set.
 */

const FILE = "data/facts.json";

/**
 * @typedef {object} Facts
 * @property {object} labelRules Grids, Daily Values and label units (21 CFR 101.9).
 * @property {object} measures Hand and kitchen measures.
 * @property {object} foods Densities, piece weights and yields.
 * @property {object} dietRules Yardsticks, limits of a plan and the cautions.
 * @property {object} amountWords Nouns that labels print and words around an amount.
 * @property {{en: object, es: object}} words Every sentence by its key.
 * @property {object} [settings] Settings of the service that a room tells (page/rooms.js), once that room was opened.
 */

/**
 * Load the facts.
 *
 * @returns {Promise<Facts>}
 * @throws {Error} When the file cannot be had.
 */
export async function loadFacts() {
  const response = await fetch(FILE);
  if (!response.ok) throw new Error(`${FILE} answered ${response.status}`);
  return response.json();
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
