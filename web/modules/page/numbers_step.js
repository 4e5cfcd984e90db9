/** The fourth step: the real numbers of the amount, beside one serving of the label. */

import { nutrients } from "../rules.js";
import { actions } from "./actions.js";
import { el, fold, write, writeItems } from "./dom.js";
import { isSettled } from "./draft.js";
import { decimalsOf, rangeWords, SHOWN } from "./figures.js";
import { insightList } from "./insight_list.js";
import { planForm } from "./plan_form.js";
import { rangeBar } from "./range_bar.js";
import { shares } from "./shares.js";
import { step } from "./step.js";

/** Screen readers hear the numbers once the stepper has rested for so many milliseconds. */
const REST = 900;

/** Return the section with the numbers. */
export function numbersStep(page) {
  const { t, word, number } = page.voice;

  const title = el("p", { class: "on-paper" }); // a print has no other word for what the food is
  const equals = el("p", { class: "equals" });
  const waiting = el("p", { class: "doubt", hidden: true });
  const cards = SHOWN.map((id) => nutrientCard(page, id));
  const share = shares(page);
  const insights = insightList(page);
  const working = el("ol", { class: "working" });
  const cautions = el("ul", { class: "cautions" });
  const plan = planForm(page);
  const acts = actions(page);
  const spoken = el("p", { class: "unseen", "aria-live": "polite" });
  const body = el(
    "div",
    { class: "numbers-body" },
    title,
    equals,
    el("div", { class: "cards" }, ...cards.map(({ element }) => element)),
    el(
      "p",
      { class: "small key" },
      el("span", { class: "key-band", "aria-hidden": "true" }),
      t("numbers.key", { odds: word("odds.1") }),
      " ",
      el("span", { class: "key-pointer", "aria-hidden": "true" }),
      t("numbers.key_serving"),
    ),
    el("p", { class: "small caution-line", text: t("numbers.caution") }),
    share.element,
    insights.element,
    fold(t("numbers.working"), working),
  );
  const section = step(
    "numbers",
    4,
    t("numbers.title"),
    spoken,
    waiting,
    body,
    acts.element,
    plan.element,
    el("h3", { class: "unseen", text: t("numbers.cautions") }),
    cautions,
  );
  let resting = null;

  function refresh() {
    const { portion, panel, error, open, planFaults } = page.result ?? {};
    section.classList.toggle("is-waiting", !page.store.state.opened);
    plan.refresh(planFaults ?? {});
    acts.refresh();
    write(waiting, portion ? "" : t(open ? "numbers.need_cooked" : error ? "numbers.need_amount" : "numbers.need_label"));
    body.hidden = !portion;
    if (portion) show(portion, panel);
  }

  function show(portion, panel) {
    const { servings, grams, amount } = portion;
    title.textContent = acts.name();
    const parts = { amount: amount.text, servings: number(servings.value, 2), count: servings.value };
    const weight = grams && t("numbers.grams", { grams: number(grams.value) });
    equals.textContent = [t("numbers.equals", parts), weight].filter(Boolean).join(", ");
    for (const card of cards) card.show(portion.nutrients[card.id], panel.nutrients[card.id]);
    share.show(portion, portion.nutrients.carbohydrate?.value);
    insights.show(portion.insights);
    writeItems(working, portion.working);
    writeItems(cautions, portion.cautions);
    clearTimeout(resting);
    resting = setTimeout(() => (spoken.textContent = inOneSentence(portion)), REST);
  }

  function inOneSentence({ amount, nutrients: eaten }) {
    const said = SHOWN.filter((id) => eaten[id]).map((id) =>
      [number(eaten[id].value, decimalsOf(page, id)), page.unitOf(id), word(`nutrient.${id}`)]
        .filter(Boolean)
        .join(" "),
    );
    return `${amount.text}: ${said.join(", ")}.`;
  }

  return { section, refresh };
}

/** One nutrient: its number large, the label's serving beside it, the range below in words and as a bar. */
function nutrientCard(page, id) {
  const { t, word, number } = page.voice;
  const unit = page.unitOf(id);
  const value = el("span", { class: "value" });
  const range = el("p", { class: "range" });
  const serving = el("p", { class: "serving" });
  const bar = rangeBar();
  const big = el("p", { class: "big" }, value, unit && el("span", { class: "unit", text: ` ${unit}` }));
  const element = el(
    "div",
    { class: `card ${id}` },
    el("h3", { text: word(`nutrient.${id}`) }),
    big,
    bar.element,
    range,
    serving,
  );
  const { daily_value: day = 0 } = nutrients(page.facts).get(id);
  const trifle = (day * page.facts.labelRules.guide.low_at_most) / 100; // less than this never fills the bar
  const withUnit = (amount) => [amount, unit].filter(Boolean).join(" ");

  function show(eaten, printed) {
    element.classList.toggle("is-missing", !eaten);
    element.classList.toggle("is-doubtful", eaten?.state === "check");
    value.textContent = eaten ? number(eaten.value, decimalsOf(page, id)) : "–";
    bar.element.hidden = !eaten;
    if (!eaten) {
      const settled = isSettled(page.store.state.draft, `nutrients.${id}`);
      range.textContent = t(settled ? "numbers.missing" : "numbers.blank");
      write(serving, "");
      return;
    }
    range.textContent = rangeWords(page, id, eaten) || t("numbers.exact");
    const each = `${printed.less_than ? "<" : ""}${number(printed.value, 1)}`;
    write(serving, t("numbers.serving", { each: withUnit(each) }));
    bar.show(eaten, printed.value, trifle);
  }

  return { id, element, show };
}
