/** What a group's amounts of one food hold: dots, and the middle, the smallest and the largest in words. */

import { el } from "../page/dom.js";
import { written } from "../page/figures.js";
import { nameOf } from "../page/ways.js";
import { asFraction } from "../numbers.js";
import { dotPlot } from "./dots.js";

const SHOWN = ["energy", "carbohydrate", "sodium"];

/**
 * Return the plots of a group.
 *
 * @param {object} page
 * @param {object} group As the service tells it.
 */
export function groupView(page, group) {
  const { t, word } = page.voice;
  if (!group.answers) return el("p", { class: "hint", text: t("tour.no_answers") });
  const plots = [
    ...group.amounts.map((told) => amountPlot(page, told, group.serving)),
    ...SHOWN.filter((id) => group.nutrients[id]).map((id) => {
      const told = group.nutrients[id];
      const say = (value) => written(page, id, value);
      return plot(page, word(`nutrient.${id}`), told, told.serving, say);
    }),
  ];
  const notes = [group.late && t("tour.late", { count: group.late }), group.left_out && t("tour.left_out", { count: group.left_out })];
  return el(
    "div",
    { class: "group" },
    el("p", { class: "small key" }, el("span", { class: "key-dot", "aria-hidden": "true" }), t("tour.key_dot"), " ", el("span", { class: "key-pointer", "aria-hidden": "true" }), t("numbers.key_serving")),
    el("div", { class: "plots" }, ...plots),
    ...notes.filter(Boolean).map((text) => el("p", { class: "small", text })),
  );
}

function amountPlot(page, told, serving) {
  const { t, word } = page.voice;
  const name = nameOf(page, told.measure, 2);
  const title = told.cooked ? `${name} (${word("amount.cooked")})` : name;
  const mark = serving.measure === told.measure && !told.cooked ? serving.count : null;
  return plot(page, t("tour.amounts_in", { measure: title }), told, mark, (value) => `${asFraction(value)}`);
}

function plot(page, title, told, mark, say) {
  const { t } = page.voice;
  const parts = { median: say(told.median), smallest: say(told.smallest), largest: say(told.largest) };
  return el(
    "figure",
    { class: "plot" },
    el("figcaption", {}, el("h4", { text: title }), el("p", { class: "middle" }, el("span", { class: "value", text: parts.median }), " ", el("span", { class: "unit", text: t("tour.in_the_middle") }))),
    dotPlot(told, mark),
    el("p", { class: "small", text: t("tour.from_to", parts) }),
    mark !== null && el("p", { class: "small", text: t("tour.serving_holds", { serving: say(mark) }) }),
  );
}
