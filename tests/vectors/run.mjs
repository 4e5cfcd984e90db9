// Answers cases, one JSON object a line on stdin, one answer a line on stdout; see ask.py.
// Usage: node run.mjs MODULES FACTS, the folder of the page's modules and the file of the facts.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

const [modules, factsFile] = process.argv.slice(2);
const load = (name) => import(pathToFileURL(join(modules, name)));
const { checkPanel } = await load("check.js");
const { PortionError } = await load("errors.js");
const { addUp } = await load("meal.js");
const { ExchangeError, fromText, toJson } = await load("phone/exchange.js");
const { toCsv } = await load("phone/table.js");
const { buildPortion, workOut } = await load("portion.js");

const facts = JSON.parse(readFileSync(factsFile, "utf8"));

function check({ panel: raw, lang }) {
  const { panel, faults } = checkPanel(facts, raw, lang);
  return { answer: panel ? { panel } : { faults } };
}

function portion(given) {
  try {
    return { answer: buildPortion(facts, given), unrounded: unrounded(workOut(facts, given)) };
  } catch (error) {
    if (!(error instanceof PortionError)) throw error;
    return { answer: error.toJSON() };
  }
}

function unrounded(portion) {
  const ends = (range) => range && [range.value, range.low, range.high];
  const eaten = [...portion.nutrients].map(([id, { range, percent }]) => [id, [...ends(range), percent]]);
  return {
    servings: ends(portion.servings),
    grams: ends(portion.grams),
    carb_choices: ends(portion.carbChoices),
    day_sodium_percent: ends(portion.daySodiumPercent),
    meal_carbohydrate_percent: ends(portion.mealCarbohydratePercent),
    ...Object.fromEntries(eaten),
  };
}

function meal({ items }) {
  return Object.fromEntries(addUp(facts, items.map((given) => workOut(facts, given))));
}

function save({ foods }) {
  return { json: toJson(foods), csv: toCsv(facts, foods) };
}

function bring({ text, lang = "en" }) {
  try {
    return { foods: fromText(facts, text, lang) };
  } catch (error) {
    if (!(error instanceof ExchangeError)) throw error;
    return { code: error.code, row: error.row, reason: error.message };
  }
}

const asks = { check, portion, meal, save, bring };
const answers = readFileSync(0, "utf8")
  .split("\n")
  .filter(Boolean)
  .map((line) => JSON.parse(line))
  .map(({ ask, given }) => JSON.stringify(asks[ask](given)));
process.stdout.write(answers.join("\n"));
