/** The sheet to take home: hand measures, the tour's foods at one of each, a table for the next shop, cautions. */

import { buildPortion } from "../portion.js";
import { knownFood } from "../page/cooking.js";
import { button, drawing, el } from "../page/dom.js";
import { rangeWords, SHOWN, written } from "../page/figures.js";
import { nameOf, shown } from "../page/ways.js";
import { cautionList } from "../places/frame.js";

const HANDS = ["fist", "cupped_hand", "palmful", "flat_palm", "thumb", "thumb_tip", "two_fingers"];
/** Lines of the empty table. */
const BLANK = 12;

/** Return the view with `refresh()`. */
export function sheetView(lead) {
  const { page } = lead;
  const { t } = page.voice;
  const paper = el("div", { class: "sheet" });
  const element = el(
    "div",
    { class: "tour-stack" },
    el("h3", { class: "not-printed", tabindex: "-1", text: t("tour.view.sheet") }),
    el("p", { class: "hint not-printed", text: t("tour.sheet_hint") }),
    el(
      "div",
      { class: "actions not-printed" },
      button(t("act.print"), () => window.print(), { class: "primary" }),
      button(t("tour.poster"), poster, { class: "quiet", "aria-pressed": "false" }),
    ),
    paper,
  );

  /** Show the hand guide alone, as large as the paper takes it. */
  function poster({ currentTarget }) {
    const on = paper.classList.toggle("is-poster");
    currentTarget.setAttribute("aria-pressed", String(on));
  }

  function refresh() {
    paper.replaceChildren(sheet(page, lead.tour, lead.tour.stops));
  }

  return { element, refresh };
}

/** Return the sheet of some foods, for the educator's printer and for a phone that took part. */
export function sheet(page, { title, held_on: day }, stops) {
  const { t } = page.voice;
  const guide = HANDS.map((id) => el("li", {}, drawing(id), el("div", {}, el("h4", { text: nameOf(page, id, 1) }), el("p", { text: shown(page, id) }))));
  return el(
    "div",
    { class: "sheet-pages" },
    el("h3", { class: "sheet-title", text: title }),
    day && el("p", { text: dayOf(page, day) }),
    part(t("guide.title"), el("ul", { class: "sheet-hands" }, ...guide)),
    stops.length > 0 && part(t("tour.foods_held"), foodTable(page, stops)),
    part(t("tour.next_shop"), blankTable(page)),
    cautionList(page),
  );
}

/** Return a day in words; it is the same day wherever the phone is. */
function dayOf({ voice }, day) {
  return new Date(day).toLocaleDateString(voice.lang, { dateStyle: "long", timeZone: "UTC" });
}

/** Return a part that stays on one page of paper. */
function part(title, body) {
  return el("div", { class: "sheet-part" }, el("h4", { text: title }), body);
}

function foodTable(page, stops) {
  const { t, word } = page.voice;
  const heads = [t("tour.table.food"), t("tour.table.amount"), ...SHOWN.map((id) => word(`nutrient.${id}`))];
  const rows = stops.map((stop) => [stop, portionOf(page, stop)]).filter(([, portion]) => portion);
  const cells = ([{ name }, portion]) => [
    name,
    portion.amount.text,
    ...SHOWN.map((id) => (portion.nutrients[id] ? [written(page, id, portion.nutrients[id].value), rangeWords(page, id, portion.nutrients[id])] : "–")),
  ];
  return table(heads, rows.map(cells));
}

/** Return one of the stop's measure; cooked where the food swells, since that is how it lies on the plate. */
function portionOf(page, { panel, food, measure }) {
  const cooked = Boolean(knownFood(page, food)?.cookedPerDry);
  try {
    return buildPortion(page.facts, { panel, food: food || null, amount: { count: 1, measure, cooked }, lang: page.voice.lang });
  } catch (error) {
    if (error.name !== "PortionError") throw error;
    return null;
  }
}

function blankTable(page) {
  const { t, word } = page.voice;
  const heads = [t("tour.table.food"), t("tour.table.hand"), ...SHOWN.map((id) => word(`nutrient.${id}`))];
  return table(heads, Array.from({ length: BLANK }, () => heads.map(() => "")), "blank");
}

function table(heads, rows, kind = "") {
  const head = el("thead", {}, el("tr", {}, ...heads.map((text) => el("th", { scope: "col", text }))));
  const cell = (said, place) => {
    const [text, range = ""] = [said].flat();
    return el("td", { data: { head: heads[place + 1] } }, el("span", {}, text, range && el("small", { text: range })));
  };
  const line = ([first, ...cells]) => el("tr", {}, el("th", { scope: "row", text: first }), ...cells.map(cell));
  return el("table", { class: `told-table sheet-table ${kind}` }, head, el("tbody", {}, ...rows.map(line)));
}
