/** The fourth step: the real numbers of the amount, beside one serving of the label. */

import { actions } from "./actions.js";
import { el, fold, write, writeItems } from "./dom.js";
import { isSettled } from "./draft.js";
import { decimalsOf, equalsWords, SHOWN } from "./figures.js";
import { insightList } from "./insight_list.js";
import { nutrientCard } from "./nutrient_card.js";
import { planForm } from "./plan_form.js";
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
  const cards = SHOWN.map((id) => nutrientCard(page, id, () => absent(id)));
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

  function absent(id) {
    const settled = isSettled(page.store.state.draft, `nutrients.${id}`);
    return t(settled ? "numbers.missing" : "numbers.blank");
  }

  function refresh() {
    const { portion, panel, error, open, planFaults } = page.result ?? {};
    section.classList.toggle("is-waiting", !page.store.state.opened);
    plan.refresh(planFaults ?? {});
    acts.refresh();
    write(waiting, portion ? "" : t(open ? "numbers.need_cooked" : error ? "numbers.need_amount" : "numbers.need_label"));
    body.hidden = !portion;
    if (portion) return show(portion, panel);
    clearTimeout(resting);
    spoken.textContent = "";
  }

  function show(portion, panel) {
    const { grams } = portion;
    title.textContent = acts.name();
    const weight = grams && t("numbers.grams", { grams: number(grams.value) });
    equals.textContent = [equalsWords(page, portion), weight].filter(Boolean).join(", ");
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
