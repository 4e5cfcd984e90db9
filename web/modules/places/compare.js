/** Side by side: two to five kept foods at the same real amount, sorted by the nutrient that matters to the shopper. */

import { button, el, labelled, write } from "../page/dom.js";
import { goTo } from "../page/address.js";
import { stepper } from "../page/stepper.js";
import { nameOf, stepOf, waysToSay } from "../page/ways.js";
import { startCount } from "../page/first_amount.js";
import { recordsOf } from "../phone/database.js";
import { reckon } from "../phone/reckon.js";
import { compareRow } from "./compare_row.js";
import { footLink } from "./foot.js";
import { cautionList, emptyPlace, placeSection } from "./frame.js";

/** Each food at the amount that it was kept with. */
const OWN = "own";
const SORTS = [
  ...["carbohydrate", "energy", "sodium", "fat", "saturated_fat", "total_sugars", "added_sugars"],
  ...["fiber", "protein"],
];
/** More of these is better for most people, so the most comes first. */
const MORE_FIRST = ["fiber", "protein"];

/** Return the place. */
export async function place(page) {
  const { t, word } = page.voice;
  const { store } = page;
  const all = await recordsOf("foods");
  const chosen = () => all.filter(({ id }) => store.state.side.ids.includes(id));
  const start = emptyPlace("tab_compare", t("compare.empty"), t("compare.choose"), () => goTo("kept"));
  const { hands, kitchen } = waysToSay(page, null);
  const ways = [...hands, ...kitchen].map((id) => [id, nameOf(page, id, 1)]);
  const measure = select("side-measure", [...ways, [OWN, t("compare.own")]], (id) =>
    change({ measure: id, count: startCount(page, null, id) }),
  );
  const sort = select("side-sort", SORTS.map((id) => [id, word(`nutrient.${id}`)]), (sortBy) => store.update({ sortBy }));
  const count = stepper(page, (number) => change({ count: number }), "side-count");
  count.element.classList.add("in-place");
  const controls = el(
    "div",
    { class: "controls" },
    labelled(t("compare.measure"), measure),
    labelled(t("compare.sort"), sort),
    count.element,
  );
  const order = el("p", { class: "small", role: "status" });
  const list = el("ol", { class: "ranked" });
  const other = button(t("compare.others"), () => goTo("kept"), { class: "quiet" });
  const full = el("div", { class: "compare-full" }, controls, order, list, other, cautionList(page));
  const head = { id: "compare", title: t("compare.title"), hint: t("compare.hint") };
  const section = placeSection(head, start, full, footLink(page));
  refresh();

  function select(id, options, act) {
    const made = el("select", { id }, ...options.map(([value, text]) => el("option", { value, text })));
    made.addEventListener("change", () => act(made.value));
    return made;
  }

  function change(part) {
    store.update({ side: { ...store.state.side, ...part } });
  }

  function refresh() {
    const foods = chosen();
    [start.hidden, full.hidden] = [foods.length > 1, foods.length < 2];
    if (foods.length < 2) return;
    const { side, sortBy } = store.state;
    [measure.value, sort.value] = [side.measure, sortBy];
    count.element.hidden = side.measure === OWN;
    count.show(side.count, stepOf(page, side.measure), nameOf(page, side.measure, side.count));
    const rows = foods.map((food) => rowOf(food, side)).sort(bySort(sortBy));
    const most = Math.max(0, ...rows.map(({ portion }) => portion?.nutrients.get(sortBy)?.range.high ?? 0));
    list.replaceChildren(...rows.map((row) => compareRow(page, row, sortBy, most)));
    const way = MORE_FIRST.includes(sortBy) ? "most_first" : "least_first";
    write(order, t(`compare.${way}`, { nutrient: word(`nutrient.${sortBy}`) }));
  }

  /** Reckon a food at the amount of all, or at its own; cooked where it was kept so. */
  function rowOf(food, { measure: way, count: number }) {
    const { cooked = false } = food.amount ?? {};
    const amount = way === OWN && food.amount ? food.amount : { measure: way === OWN ? "fist" : way, count: number, cooked };
    return { food, amount, ...reckon(page, food, amount) };
  }

  return { section, refresh };
}

/** Sort by a nutrient; what does not tell it comes last. */
function bySort(id) {
  const sign = MORE_FIRST.includes(id) ? -1 : 1;
  const of = ({ portion }) => portion?.nutrients.get(id)?.range.value ?? null;
  return (a, b) => {
    const [x, y] = [of(a), of(b)];
    if (x === null || y === null) return (x === null) - (y === null);
    return sign * (x - y);
  };
}
