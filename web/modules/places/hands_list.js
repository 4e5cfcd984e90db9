/** Measures with what one of them holds, usually and in one's own; each can be measured by itself. */

import { button, drawing, el, focusOn, fold } from "../page/dom.js";
import { nameOf } from "../page/ways.js";
import { sizeForm } from "./hands_form.js";
import { handsWith, sayIn, sizeIn, spreadWords } from "./hands_sizes.js";

const UNITS = { g: ["oz", "g"], small: ["tbsp", "tsp", "ml"], large: ["cup", "tbsp", "ml"] };
/** From how many mL a measure is asked for in cups first. Judgement. */
const LARGE_ML = 60;

/**
 * Return a list of measures.
 *
 * @param {object} page
 * @param {object[]} listed The measures.
 * @param {(hands: object) => void} onHands Called with all numbers of the hands when one has changed.
 */
export function handList(page, listed, onHands) {
  const { t } = page.voice;
  const rows = listed.map((measure) => row(measure));
  const element = el("ul", { class: "hand-list" }, ...rows.map((one) => one.element));

  function row(measure) {
    const name = nameOf(page, measure.id, 1);
    const { size, dimension } = sizeIn(page, {}, measure);
    const key = `${measure.id}_${dimension}`;
    const sizes = el("div", { class: "hand-sizes" });
    const said = wordsOf(measure, name, dimension);
    const reset = button(said.reset, () => change({}), { class: "quiet" });
    const units = UNITS[dimension === "g" ? "g" : size >= LARGE_ML ? "large" : "small"];
    const alone = fold(
      said.alone,
      el("p", { class: "small", text: said.how }),
      sizeForm(page, {
        name: key,
        labels: [said.holds],
        units,
        onSize: (own) => change({ [key]: own }),
      }),
    );

    /** Keep the number, close the form, and leave the focus where the row goes on. */
    function change(numbers) {
      alone.open = false;
      onHands(handsWith(page.store.state.hands, [key], numbers));
      alone.querySelector("summary").focus();
    }

    function refresh() {
      const { hands } = page.store.state;
      const [usual, own] = [{}, hands].map((given) => sizeIn(page, given, measure));
      const follows = own.size !== usual.size || own.spread !== usual.spread;
      sizes.replaceChildren(
        line(t("hands.usual"), usual),
        ...(follows ? [line(t("hands.own"), own, "own")] : []),
      );
      reset.hidden = !(key in hands);
    }

    return {
      element: el(
        "li",
        { data: { hand: measure.id } },
        drawing(measure.id),
        el("div", {}, el("p", { class: "chosen-name", text: name }), sizes, reset),
        alone,
      ),
      refresh,
    };
  }

  function wordsOf({ scales }, name, dimension) {
    if (!scales) {
      const [alone, how, holds, reset] = ["measure", "hint", "holds", "reset"].map((key) => t(`hands.bowl_${key}`));
      return { alone, how, holds, reset };
    }
    const how = t(`hands.alone_how.${dimension}`);
    const [alone, holds, reset] = ["alone", "holds", "reset"].map((key) => t(`hands.${key}`, { name }));
    return { alone, how, holds, reset };
  }

  function line(whose, { size, spread, dimension }, kind = "usual") {
    const { about, exact } = sayIn(page, { size, dimension });
    return el(
      "p",
      { class: `hand-size ${kind}` },
      el("span", { class: "hand-whose", text: whose }),
      el("span", { class: "hand-about", text: t("hands.about", { size: about }) }),
      el("span", {
        class: "small",
        text: t("hands.exactly", { exact, spread: spreadWords(page, spread) }),
      }),
    );
  }

  /** Open the measuring of one measure and go there; false where it is not in this list. */
  function reveal(measure) {
    const place = listed.findIndex(({ id }) => id === measure);
    if (place < 0) return false;
    const alone = rows[place].element.querySelector("details");
    alone.open = true;
    focusOn(alone.querySelector("input"));
    return true;
  }

  const refresh = () => rows.forEach((one) => one.refresh());
  return { element, refresh, reveal };
}
