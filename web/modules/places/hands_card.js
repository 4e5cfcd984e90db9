/** The hand beside a bank card: how wide the knuckles are in lengths of the card, shown to scale. */

import { handBounds } from "../measures.js";
import { button, drawing, el } from "../page/dom.js";

/** The long side of a card in millimetres: ISO/IEC 7810, size ID-1, 85.60 by 53.98 mm. */
const CARD_MM = 85.6;
/** The short side of a card over its long side. */
const CARD_HEIGHT = 53.98 / 85.6;
/** The knuckles in the square drawing of the hand: where they begin, how wide they are, and how high they lie. */
const [KNUCKLES_FROM, KNUCKLES, KNUCKLES_HIGH] = [0.2, 0.7, 0.46];
const STEP = 1;

/**
 * Return the card with the hand behind it, and a slider for the width of the hand.
 *
 * @param {object} page
 * @param {(breadth: number) => void} onBreadth Called with the breadth across the knuckles in millimetres.
 */
export function cardScale(page, onBreadth) {
  const { t, number } = page.voice;
  const [least, most] = handBounds(page.facts)
    .get("hand_breadth_mm")
    .map((end) => (100 * end) / CARD_MM);
  const kept = page.store.state.hands.hand_breadth_mm ?? page.facts.measures.hand_breadth.mean_mm;
  const hand = drawing("hand_back", "card-hand");
  const picture = el(
    "div",
    { class: "card-scale", "aria-hidden": "true" },
    hand,
    drawing("bank_card", "card-card"),
  );
  const said = el("p", { class: "card-said", role: "status" });
  const slider = el("input", {
    type: "range",
    id: "card-percent",
    min: Math.ceil(least),
    max: Math.floor(most),
    step: STEP,
  });
  slider.value = String(Math.round((100 * kept) / CARD_MM));
  slider.addEventListener("input", show);
  const move = (way) => {
    slider.value = String(Number(slider.value) + way * STEP);
    show();
  };

  function breadth() {
    return (Number(slider.value) / 100) * CARD_MM;
  }

  function show() {
    const percent = Number(slider.value);
    const key = percent < 100 ? "narrower" : percent > 100 ? "wider" : "same";
    const parts = { gap: number(Math.abs(breadth() - CARD_MM)), mm: number(breadth()) };
    said.textContent = t(`hands.card.${key}`, parts);
    slider.setAttribute("aria-valuetext", said.textContent);
    const width = percent / KNUCKLES;
    hand.style.width = `${width}%`;
    hand.style.left = `${-width * KNUCKLES_FROM}%`;
    hand.style.marginBottom = `${100 * CARD_HEIGHT - width * KNUCKLES_HIGH}%`; // knuckles at the card's upper edge
  }

  show();
  return el(
    "div",
    { class: "hand-form" },
    el("div", { class: "card-box" }, picture),
    el("label", { for: "card-percent", text: t("hands.card.slider") }),
    el(
      "div",
      { class: "card-slide" },
      press("minus", t("hands.card.less"), -1),
      slider,
      press("plus", t("hands.card.more"), 1),
    ),
    said,
    button(t("hands.use"), () => onBreadth(breadth()), { class: "primary" }),
  );

  function press(icon, words, way) {
    const props = { type: "button", class: "press", "aria-label": words, on: { click: () => move(way) } };
    return el("button", props, drawing(icon, "sign"));
  }
}
