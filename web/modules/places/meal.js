/** The meal: kept or read foods added up, each at its own amount, with one range for all. */

import { addUp } from "../meal.js";
import { button, drawing, el } from "../page/dom.js";
import { goTo } from "../page/places.js";
import { shares } from "../page/shares.js";
import { empty, keep, letGo, recordsOf } from "../phone/database.js";
import { reckon } from "../phone/reckon.js";
import { mealRow } from "./meal_row.js";
import { mealTotals } from "./meal_totals.js";
import { news, placeSection, titleOf } from "./frame.js";

/** Return the place. */
export async function place(page) {
  const { t } = page.voice;
  let items = await recordsOf("meal");
  const told = news(page);
  const start = el(
    "div",
    { class: "empty" },
    drawing("tab_meal", "empty-drawing"),
    el("p", { text: t("meal.empty") }),
    button(t("meal.from_kept"), () => goTo("kept"), { class: "primary" }),
  );
  const list = el("ul", { class: "meal-list" });
  const totals = mealTotals(page);
  const share = shares(page);
  const lacking = el("p", { class: "problem", hidden: true });
  const cautions = el("ul", { class: "cautions" });
  const clear = button(t("meal.clear"), clearAll, { class: "quiet" });
  const print = button(t("act.print"), () => window.print(), { class: "quiet" });
  const full = el(
    "div",
    { class: "meal-full" },
    list,
    el("div", { class: "meal-sum" }, totals.element, share.element, lacking),
    el("div", { class: "actions" }, print, clear),
    cautions,
  );
  const head = { id: "meal", title: t("meal.title"), hint: t("meal.hint") };
  const section = placeSection(page, head, told.element, start, full);
  refresh();

  async function load() {
    items = await recordsOf("meal");
    refresh();
  }

  async function change(item, count) {
    Object.assign(item, { amount: { ...item.amount, count } });
    refresh();
    await keep("meal", item);
  }

  async function remove(item) {
    await letGo("meal", item.id);
    await load();
    told.say(t("meal.gone", { name: titleOf(page, item) }), async () => {
      await keep("meal", item);
      await load();
    });
  }

  async function clearAll() {
    const before = items;
    await empty("meal");
    await load();
    told.say(t("meal.cleared"), async () => {
      for (const item of before) await keep("meal", item);
      await load();
    });
  }

  function refresh() {
    [start.hidden, full.hidden] = [items.length > 0, !items.length];
    if (!items.length) return;
    const reckoned = items.map((item) => ({ item, ...reckon(page, item) }));
    showRows(reckoned);
    const portions = reckoned.map(({ portion }) => portion).filter(Boolean);
    const sums = addUp(page.facts, portions);
    totals.show(sums);
    share.show(sharesOf(page, sums));
    lacking.hidden = portions.length === items.length;
    lacking.textContent = t("meal.lacking", { count: items.length - portions.length });
    cautions.replaceChildren(
      ...page.facts.dietRules.cautions.map((code) => el("li", { text: page.voice.word(`caution.${code}`) })),
    );
  }

  /** Show the rows; a row that the shopper is pressing stays in place. */
  function showRows(reckoned) {
    const rows = new Map([...list.children].map((row) => [row.dataset.id, row]));
    const shown = reckoned.map((one) => {
      const row = rows.get(one.item.id) ?? mealRow(page, one.item, { change, remove });
      row.show(one);
      return row;
    });
    if (shown.length !== list.children.length || shown.some((row, place) => row !== list.children[place]))
      list.replaceChildren(...shown);
  }

  return { section, refresh };
}

/** Return the yardsticks of a meal, as `shares` takes them. */
function sharesOf(page, sums) {
  const plan = page.soundPlan();
  const { carb_choice: choice, day_sodium: day } = page.facts.dietRules;
  const of = (id, unit) => {
    const range = sums.get(id)?.range;
    if (!range || !unit) return null;
    return { value: range.value / unit, low: range.low / unit, high: range.high / unit };
  };
  return {
    carb_choices: of("carbohydrate", choice.g),
    day_sodium_percent: of("sodium", (plan.day_sodium_mg || day.mg) / 100),
    meal_carbohydrate_percent: of("carbohydrate", plan.meal_carbohydrate_g && plan.meal_carbohydrate_g / 100),
    plan,
  };
}
