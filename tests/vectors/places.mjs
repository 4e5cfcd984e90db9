// Answers cases of the page's places, one JSON object a line on stdin, one answer a line on stdout.
// Usage: node places.mjs WEB DATA, the folders of the page and of the facts.
import { readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [web, data] = process.argv.slice(2).map((folder) => resolve(folder));
const load = (name) => import(pathToFileURL(join(web, "modules", name)));
const { loadFacts } = await load("facts.js");
const { addUp } = await load("meal.js");
const { workOut } = await load("portion.js");
const { ExchangeError, fromText, toJson } = await load("phone/exchange.js");
const { toCsv } = await load("phone/table.js");

const facts = await loadFacts(async (url) => JSON.parse(readFileSync(join(data, url.replace(/^data\//, "")), "utf8")));

const asks = {
  meal: ({ items }) => Object.fromEntries(addUp(facts, items.map((given) => workOut(facts, given)))),
  save: ({ foods }) => ({ json: toJson(foods), csv: toCsv(facts, foods) }),
  bring: ({ text, lang }) => {
    try {
      return { foods: fromText(facts, text, lang ?? "en") };
    } catch (error) {
      if (!(error instanceof ExchangeError)) throw error;
      return { code: error.code, row: error.row, reason: error.message };
    }
  },
};

const answers = readFileSync(0, "utf8")
  .split("\n")
  .filter(Boolean)
  .map((line) => JSON.parse(line))
  .map(({ ask, given }) => JSON.stringify(asks[ask](given)));
process.stdout.write(answers.join("\n"));
