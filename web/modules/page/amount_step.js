/** The third step: how much will be eaten, in whichever measure suits. */

import { measures } from "../measures.js";
import { sayIn, sizeIn } from "../places/hands_sizes.js";
import { bundleRing } from "./bundle.js";
import { button, drawing, el, isWide, write } from "./dom.js";
import { startCount } from "./first_amount.js";
import { foodChoice } from "./food_choice.js";
import { measureChoice } from "./measure_choice.js";
import { nearChoice } from "./near_choice.js";
import { step } from "./step.js";
import { stepper } from "./stepper.js";
import { isDrawn, nameOf, shown, stepOf } from "./ways.js";

/** What the way to one's own measure is called, where it is another than for most. */
const MEASURING = { fist: "hands.measure", bowl: "hands.bowl_measure" };

/** Return the section where the amount is chosen. */
export function amountStep(page) {
  const { t } = page.voice;
  const { store } = page;

  const picture = el("span", { class: "chosen-picture" });
  const name = el("p", { class: "chosen-name" });
  const explained = el("span");
  const ownLink = el("a");
  const chosen = el("div", { class: "chosen" }, picture, el("div", {}, name, el("p", { class: "small" }, explained, " ", ownLink)));
  const ring = bundleRing(page);
  const count = stepper(page, (number) => change({ count: number }));
  const choice = measureChoice(page, choose);
  const near = nearChoice(page, choose);
  const toggle = () => unfold(choice.element.hidden);
  const other = button(t("amount.change"), toggle, { class: "quiet", "aria-controls": "measures" });
  const food = foodChoice(page, {
    onFood: (text) => store.update({ food: text }),
    onCooked: (cooked) => change({ cooked }),
  });
  const asks = el("div", { class: "asks" }, other, food.question);
  const problem = el("p", { class: "problem", role: "alert", hidden: true });
  const parts = [chosen, ring.element, food.element, problem, count.element, near.element, asks, choice.element];
  const section = step("amount", 3, t("amount.title"), ...parts);
  let drawn = "";
  unfold(isWide());

  function unfold(open) {
    choice.element.hidden = !open;
    other.setAttribute("aria-expanded", String(open));
  }

  function choose(measure) {
    const folds = !isWide() && !choice.element.hidden;
    change({ measure, count: startCount(page, page.result?.panel, measure) });
    if (!folds) return;
    unfold(false);
    other.focus();
  }

  /** Say what one of a hand measure holds: in this person's hand or bowl, once that is measured. */
  function explain(measure) {
    const known = measures(page.facts).get(measure);
    const own = known && sizeIn(page, store.state.hands, known);
    const measured = isDrawn(page, measure) && own.size !== sizeIn(page, {}, known).size;
    const words = measured
      ? t(known.scales ? "amount.own_hand" : "amount.own_bowl", sayIn(page, own))
      : shown(page, measure);
    write(explained, measure === "bundle" ? "" : words);
    ownLink.textContent = t(MEASURING[measure] ?? "hands.measure_one");
    ownLink.href = `#/hands/${measure}`;
    ownLink.hidden = measured || !(known?.scales || known?.limits);
  }

  function change(part) {
    store.update({ amount: { ...store.state.amount, ...part } });
  }

  function refresh() {
    const { amount } = store.state;
    const { result } = page;
    section.classList.toggle("is-waiting", !amount);
    if (!amount || !result) return;
    const { measure } = amount;
    if (drawn !== measure) picture.replaceChildren(...(isDrawn(page, measure) ? [drawing(measure)] : []));
    drawn = measure;
    name.textContent = nameOf(page, measure, 1);
    explain(measure);
    ring.element.hidden = measure !== "bundle";
    if (measure === "bundle") ring.refresh();
    count.show(amount.count, stepOf(page, measure), nameOf(page, measure, amount.count));
    food.refresh(result);
    write(problem, faultOf(result));
    if (!result.panel) return;
    near.refresh(result.panel, measure);
    choice.refresh(result.panel, measure);
  }

  return { section, refresh };
}

/** Return what is wrong with the amount; what is wrong with the food stands at its own field. */
function faultOf({ error }) {
  if (!error || error.fields.food) return "";
  return error.sentence;
}
