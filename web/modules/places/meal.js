/** The meal: kept or read foods added up, each at its own amount, with one range for all. */

import { amountText } from "../amounts.js";
import { addUp } from "../meal.js";
import { button, drawing, el, putInOrder } from "../page/dom.js";
import { goTo } from "../page/address.js";
import { news } from "../page/news.js";
import { ownPlan } from "../page/own_plan.js";
import { planForm } from "../page/plan_form.js";
import { hand, shareText } from "../page/share_text.js";
import { shares } from "../page/shares.js";
import { empty, keep, letGo, recordsOf } from "../phone/database.js";
import { planFrom } from "../plan.js";
import { sharesOf } from "../portion.js";
import { reckon } from "../phone/reckon.js";
import { mealRow } from "./meal_row.js";
import { mealTotals } from "./meal_totals.js";
import { footLink } from "./foot.js";
import { cautionList, emptyPlace, placeSection, titleOf } from "./frame.js";

/** Return the place. */
export async function place(page) {
  const { t } = page.voice;
  let items = await recordsOf("meal");
  let sums = new Map();
  const told = news(page);
  const start = emptyPlace("tab_meal", t("meal.empty"), t("meal.from_kept"), () => goTo("kept"));
  const list = el("ul", { class: "meal-list" });
  const totals = mealTotals(page);
  const share = shares(page);
  const plan = planForm(page, "meal");
  const lacking = el("p", { class: "problem", hidden: true });
  const clear = button(t("meal.clear"), clearAll, { class: "quiet" });
  const send = button(t("act.share"), shareMeal, { class: "quiet" }, drawing("share", "sign"));
  const print = button(t("act.print"), () => window.print(), { class: "quiet" });
  const full = el(
    "div",
    { class: "meal-full" },
    list,
    el("div", { class: "meal-sum" }, totals.element, share.element, lacking),
    plan.element,
    el("div", { class: "actions" }, send, print, clear),
    cautionList(page),
  );
  const head = { id: "meal", title: t("meal.title"), hint: t("meal.hint") };
  const section = placeSection(head, told.element, start, full, footLink(page));
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

  async function shareMeal() {
    const names = items.map((item) => `${titleOf(page, item)}: ${amountText(page.facts, item.amount, page.voice.lang)}`);
    const text = shareText(page, [t("meal.title"), ...names], (id) => sums.get(id)?.range);
    told.say(await hand(page, t("meal.title"), text));
  }

  function refresh() {
    plan.refresh(ownPlan(page).faults);
    [start.hidden, full.hidden] = [items.length > 0, !items.length];
    if (!items.length) return;
    const reckoned = items.map((item) => ({ item, ...reckon(page, item) }));
    showRows(reckoned);
    const portions = reckoned.map(({ portion }) => portion).filter(Boolean);
    sums = addUp(page.facts, portions);
    totals.show(sums);
    share.show(yardsticks(page, sums), sums.get("carbohydrate")?.range.value);
    lacking.hidden = portions.length === items.length;
    lacking.textContent = t("meal.lacking", { count: items.length - portions.length });
  }

  /** Show the rows; a row that the shopper is pressing stays in place. */
  function showRows(reckoned) {
    const rows = new Map([...list.children].map((row) => [row.dataset.id, row]));
    const shown = reckoned.map((one) => {
      const row = rows.get(one.item.id) ?? mealRow(page, one.item, { change, remove });
      row.show(one);
      return row;
    });
    putInOrder(list, shown);
  }

  return { section, refresh };
}

/** Return the yardsticks of a meal, as `shares` takes them. */
function yardsticks(page, sums) {
  const { facts, voice } = page;
  const { plan } = ownPlan(page);
  const of = sharesOf(facts, planFrom(facts, plan, voice.lang), sums);
  return {
    carb_choices: of.carbChoices,
    day_sodium_percent: of.daySodiumPercent,
    meal_carbohydrate_percent: of.mealCarbohydratePercent,
    plan,
  };
}
