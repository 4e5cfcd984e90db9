/** One food on a phone of the group: how much would you eat? After the reveal, what that holds. */

import { amountText } from "../amounts.js";
import { buildPortion } from "../portion.js";
import { cookingMatters } from "../page/cooking.js";
import { button, el, labelled, write } from "../page/dom.js";
import { equalsWords, SHOWN } from "../page/figures.js";
import { settled, startCount } from "../page/first_amount.js";
import { nutrientCard } from "../page/nutrient_card.js";
import { ownPlan } from "../page/own_plan.js";
import { shares } from "../page/shares.js";
import { stepper } from "../page/stepper.js";
import { nameOf, stepOf } from "../page/ways.js";
import { cautionList } from "../places/frame.js";
import { groupView } from "./group.js";
import { measureSelect } from "./measure_select.js";
import { partIn } from "./mine.js";
import { put, waits } from "./send.js";

/** Return the card of a food, with `show(stop, tour)`. */
export function guessCard(page, code, stop, onSent) {
  const { t, lang } = page.voice;
  const path = `stops/${stop.id}/guess`;
  const id = `guess-${stop.id}`;
  const said = () => partIn(code).said?.[stop.id] ?? partIn(code).waiting[path] ?? null;
  let amount = said() ?? { measure: stop.measure, count: startCount(page, stop.panel, stop.measure), cooked: null };
  const question = el("p", { class: "stop-question" });
  const measure = measureSelect(page, stop.panel, `${id}-measure`, (chosen) => take({ measure: chosen, count: startCount(page, stop.panel, chosen) }));
  const count = stepper(page, (number) => take({ count: number }), id);
  count.element.classList.add("in-place");
  const cooking = el("fieldset", { class: "switch" }, el("legend", { text: t("amount.dry_or_cooked") }), el("div", { class: "switch-sides" }, ...[false, true].map(cookedSide)));
  const send = button(t("tour.send"), submit, { class: "primary wide" });
  const form = el("div", { class: "guess-form" }, labelled(t("compare.measure"), measure), cooking, count.element, send);
  const state = el("p", { class: "stop-state", role: "status" });
  const fault = el("p", { class: "fault", role: "alert", hidden: true });
  const answer = el("div", { class: "guess-answer" });
  const element = el("li", { class: "stop", data: { stop: stop.id } }, el("h3", { text: stop.name }), question, form, fault, state, answer);
  let now = stop;
  let drawn = "";

  function cookedSide(cooked) {
    const words = t(cooked ? "amount.cooked" : "amount.dry");
    const radio = el("input", { type: "radio", name: `${id}-cooked`, value: String(cooked), on: { change: () => take({ cooked }) } });
    return el("label", { class: "switch-side" }, radio, el("span", { text: words }));
  }

  function take(part) {
    amount = { ...amount, ...part };
    refresh();
  }

  function submit() {
    if (count.hasJustRefused()) return;
    if (asksCooked() && amount.cooked === null) return write(fault, t("numbers.need_cooked"));
    write(fault, "");
    const { measure: way, count: number, cooked } = settled(amount);
    const { hands: own } = page.store.state;
    put(code, path, { count: number, measure: way, cooked, ...(Object.keys(own).length && { hands: own }) });
    refresh();
    return onSent();
  }

  function asksCooked() {
    return cookingMatters(page, stop.panel, amount.measure, stop.food);
  }

  function refresh(over = false) {
    const open = !over && (now.state === "open" || (now.state === "revealed" && !said()));
    form.hidden = !open;
    measure.value = amount.measure;
    count.show(amount.count, stepOf(page, amount.measure), nameOf(page, amount.measure, amount.count));
    cooking.hidden = !asksCooked();
    for (const radio of cooking.querySelectorAll("input")) radio.checked = String(amount.cooked) === radio.value;
    send.lastChild.textContent = t(said() ? "tour.send_again" : "tour.send");
    write(state, stateWords());
  }

  function stateWords() {
    if (waits(code, path)) return t("tour.answer_waits");
    const mine = partIn(code).said?.[stop.id];
    if (now.state === "closed" && !mine) return t("tour.state.closed");
    return mine && now.state === "open" ? t("tour.answer_sent", { amount: amountText(page.facts, settled(mine), lang) }) : "";
  }

  /** Say what became of the answer that was on its way. */
  function heard(refusal) {
    write(fault, refusal ?? "");
    refresh();
  }

  function show(latest, tour) {
    now = latest;
    write(question, latest.question);
    refresh();
    const told = JSON.stringify([latest.state, latest.group, said()]);
    if (told === drawn) return;
    drawn = told;
    answer.replaceChildren(...(latest.group ? [realNumbers(page, latest, said(), tour), el("h4", { text: t("tour.the_group") }), groupView(page, latest.group)] : []));
  }

  return { element, show, heard, refresh };
}

/** Return what the person's own amount holds, in their own hand where they have measured it. */
function realNumbers(page, { panel, food }, said, tour) {
  const { t } = page.voice;
  if (!said) return el("p", { class: "hint", text: t("tour.no_answer") });
  const { plan: own } = ownPlan(page);
  const plan = { ...own, meal_carbohydrate_g: own.meal_carbohydrate_g ?? tour.meal_carbohydrate_g };
  const { hands, count, measure, cooked } = settled(said);
  const portion = buildPortion(page.facts, { panel, amount: { count, measure, cooked }, food: food || null, hands: hands ?? {}, plan, lang: page.voice.lang });
  const cards = SHOWN.map((id) => {
    const card = nutrientCard(page, id);
    card.show(portion.nutrients[id], panel.nutrients[id]);
    return card.element;
  });
  const yardsticks = shares(page);
  yardsticks.show({ ...portion, plan }, portion.nutrients.carbohydrate?.value);
  return el("div", { class: "own-numbers" }, el("h4", { text: t("tour.your_amount") }), el("p", { class: "equals", text: equalsWords(page, portion) }), el("div", { class: "cards" }, ...cards), yardsticks.element, cautionList(page));
}
