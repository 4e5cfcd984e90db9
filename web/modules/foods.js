/** Foods by household measure; the numbers are those of `data/foods.json`. */

import { PortionError } from "./errors.js";
import { oncePerFacts } from "./facts.js";
import { labelUnits } from "./rules.js";
import { cut, say, spoken } from "./words.js";

const STATES = ["ready", "dry", "cooked"];
const SHOWN = 6;

/**
 * @typedef {{value: number, u: number}} Factor A number with its relative standard uncertainty.
 * @typedef {object} Food
 * @property {string} id
 * @property {{en: string, es: string}} names
 * @property {string} group
 * @property {Object<string, Factor>} densities Grams per label mL by state: ready, dry, cooked.
 * @property {Factor | null} piece Grams of one piece.
 * @property {Factor | null} cookedPerDry Grams cooked per gram dry; a person must say which is meant.
 * @property {{en: string, es: string} | null} rule What cooks say of it.
 */

/** Every food by its id. */
export const foods = oncePerFacts(
  (facts) => new Map(facts.foods.foods.map((row) => [row.id, readFood(facts, row)])),
);

const index = oncePerFacts((facts) => {
  const known = new Map();
  for (const row of facts.foods.foods) {
    const names = [row.id, ...Object.values(row.name), ...Object.values(row.aliases ?? {}).flat()];
    for (const name of names) known.set(plainName(name), row.id);
  }
  return known;
});

/**
 * Return the food called `name`: by id, name or alias in either language, else by its words.
 *
 * @returns {Food}
 * @throws {PortionError} `unknown_food` when no food or several foods fit, with the nearest names.
 */
export function findFood(facts, name, lang) {
  const found = foods(facts).get(name) ?? foods(facts).get(index(facts).get(plainName(name)));
  if (found) return found;
  const near = foodsLike(facts, name);
  if (near.length === 1) return near[0];
  const shown = near.slice(0, SHOWN).map((food) => food.names[spoken(lang)]).join(", ");
  const key = near.length ? "error.food_several" : "error.food_unknown";
  const message = say(facts, key, lang, { name: cut(name, 40), shown });
  throw new PortionError("unknown_food", message, { food: message });
}

/** Return every food that one of its names holds all the words of `text` for, by id. */
export function foodsLike(facts, text) {
  const words = plainName(text).split(" ").filter(Boolean);
  if (!words.length) return [];
  const near = new Set();
  for (const [known, id] of index(facts)) {
    const told = known.split(" ");
    if (words.every((word) => told.includes(word))) near.add(id);
  }
  return [...near].sort().map((id) => foods(facts).get(id));
}

/** Return grams per label mL of a food as it stands on the shelf, or null. */
export function densityOf({ densities }) {
  return densities.ready ?? densities.dry ?? densities.cooked ?? null;
}

function readFood(facts, row) {
  const cup = labelUnits(facts).ml.get("cup");
  const u = facts.foods.density_u[row.texture];
  const known = STATES.filter((state) => row[state]?.g_per_cup);
  return {
    id: row.id,
    names: row.name,
    group: row.group,
    densities: Object.fromEntries(known.map((state) => [state, { value: row[state].g_per_cup / cup, u }])),
    piece: row.piece ? { value: row.piece.g, u } : null,
    cookedPerDry: row.yield ? { value: row.yield.g_per_g, u: row.yield.u } : null,
    rule: row.yield?.rule ?? null,
  };
}

/** Return `text` in lower case without accents, underscores or outer blanks. */
export function plainName(text) {
  const plain = text.replaceAll("_", " ").toLowerCase().normalize("NFD").replace(/\p{M}/gu, "");
  return plain.split(/\s+/).filter(Boolean).join(" ");
}
