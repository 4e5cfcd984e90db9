/** Saving the kept foods to a file, and bringing foods in from one. */

import { button, el, fold } from "../page/dom.js";
import { saveFile } from "../page/save_file.js";
import { keep } from "../phone/database.js";
import { ExchangeError, fromText, toJson } from "../phone/exchange.js";
import { toCsv } from "../phone/table.js";

/**
 * Return the form, folded.
 *
 * @param {object} page
 * @param {{foods: () => object[], onIn: () => Promise<void>, say: (text: string) => void}} act
 */
export function exchangeForm(page, { foods, onIn, say }) {
  const { t, lang } = page.voice;
  const { facts } = page;
  const input = el("input", { type: "file", class: "file", accept: ".json,.csv,application/json,text/csv" });
  input.addEventListener("change", async () => {
    const [file] = input.files;
    input.value = "";
    if (file) await bringIn(file);
  });
  const from = el("label", { class: "quiet choice-file" }, input, el("span", { text: t("exchange.in") }));
  const save = (kind, write) =>
    button(t(`exchange.${kind}`), () => download(write(), `shelfcheck.${kind}`), { class: "quiet" });

  async function bringIn(file) {
    try {
      const known = new Set(foods().map(signOf));
      const coming = fromText(facts, await file.text(), lang);
      const fresh = coming.filter((food) => !known.has(signOf(food)));
      for (const food of fresh) await keep("foods", food);
      await onIn();
      const same = coming.length - fresh.length;
      const parts = [t("exchange.came", { count: fresh.length }), same && t("exchange.known", { count: same })];
      say(parts.filter(Boolean).join(" "));
    } catch (error) {
      if (!(error instanceof ExchangeError)) throw error;
      say(t(`exchange.${error.code}`, { row: error.row, reason: error.message }));
    }
  }

  return fold(
    t("exchange.title"),
    el("p", { class: "small", text: t("exchange.hint") }),
    el(
      "div",
      { class: "actions" },
      save("json", () => toJson(foods())),
      save("csv", () => toCsv(facts, foods())),
      from,
    ),
  );
}

/** Return what makes two foods the same: their name and what their labels say. */
function signOf({ name, panel }) {
  const printed = Object.entries(panel.nutrients).map(([id, { value, less_than }]) => [id, value, less_than]);
  const { household_amount: household, metric_amount: metric } = panel.serving;
  return JSON.stringify([name || null, household.value, metric.value, printed.filter(([, value]) => value !== null).sort()]);
}

function download(text, name) {
  const type = name.endsWith(".csv") ? "text/csv" : "application/json";
  saveFile(new Blob([text], { type }), name);
}
