/** Kept foods: find one, open it, set it beside others, put it into the meal, rename it, let it go. */

import { button, el, focusOn, setAttribute } from "../page/dom.js";
import { plainName } from "../foods.js";
import { measures } from "../measures.js";
import { goTo } from "../page/address.js";
import { news } from "../page/news.js";
import { keep, letGo, recordsOf } from "../phone/database.js";
import { exchangeForm } from "./exchange_form.js";
import { keptCard } from "./kept_card.js";
import { footLink } from "./foot.js";
import { emptyPlace, placeSection, titleOf } from "./frame.js";

/** From so many foods on there is a field to search them. */
const SEARCH_FROM = 5;
const MOST_BESIDE = 5;

/** Return the place. */
export async function place(page) {
  const { t } = page.voice;
  const { store } = page;
  let foods = await recordsOf("foods");
  const told = news(page);
  const list = el("ul", { class: "foods" });
  const search = el("input", { type: "text", id: "search", autocomplete: "off", enterkeyhint: "search" });
  search.addEventListener("input", () => draw());
  const finder = el("div", { class: "finder" }, el("label", { for: "search", text: t("kept.search") }), search);
  const none = el("p", { class: "small", role: "status", hidden: true, text: t("kept.none_found") });
  const start = emptyPlace("tab_kept", t("kept.empty"), t("kept.read_one"), () => goTo("label"));
  const beside = button("", () => goTo("compare"), { class: "primary wide", id: "beside" });
  const exchange = exchangeForm(page, { foods: () => foods, onIn: load, say: told.say });
  const head = { id: "kept", title: t("kept.title"), hint: t("kept.hint") };
  const section = placeSection(head, told.element, start, finder, none, list, beside, exchange, footLink(page));
  const act = { open: (food) => page.open(food), rename, remove, toMeal, toggle };
  draw();

  async function load() {
    foods = await recordsOf("foods");
    draw();
  }

  function draw() {
    const wanted = plainName(search.value);
    const found = foods.filter((food) => plainName(titleOf(page, food)).includes(wanted)).reverse();
    list.replaceChildren(...found.map((food) => keptCard(page, food, act)));
    start.hidden = foods.length > 0;
    finder.hidden = foods.length < SEARCH_FROM && !wanted;
    none.hidden = !wanted || found.length > 0;
    showBeside();
  }

  async function rename(food, name) {
    await keep("foods", { ...food, name });
    await load();
    told.say(t("kept.renamed", { name }));
    list.querySelector(`[data-id="${food.id}"] .open`)?.focus();
  }

  async function remove(food) {
    await letGo("foods", food.id);
    await load();
    told.say(t("kept.gone", { name: titleOf(page, food) }), async () => {
      await keep("foods", food);
      await load();
    });
    focusOn(told.element.querySelector("button"));
  }

  async function toMeal({ name, panel, food, amount }) {
    const { id } = await keep("meal", { name, panel, food, amount });
    const count = (await recordsOf("meal")).length;
    told.say(t("kept.in_meal", { name: titleOf(page, { name }), count }), () => letGo("meal", id));
  }

  function toggle({ id }) {
    const { side } = store.state;
    const ids = side.ids.includes(id) ? side.ids.filter((other) => other !== id) : [...side.ids, id];
    if (ids.length > MOST_BESIDE) return told.say(t("kept.enough_beside", { count: MOST_BESIDE }));
    store.update({ side: { ...side, ids, ...(ids.length === 1 && wayOf(foods.find((food) => food.id === ids[0]))) } });
    told.say("");
  }

  /** Begin with the amount of the first food, where other foods can be measured so. */
  function wayOf({ amount }) {
    const known = measures(page.facts).get(amount?.measure);
    return known && !known.dry && { measure: known.id, count: amount.count };
  }

  function showBeside() {
    const count = foods.filter(({ id }) => store.state.side.ids.includes(id)).length;
    beside.hidden = count === 0;
    beside.disabled = count === 1;
    beside.lastChild.textContent = count === 1 ? t("kept.one_more") : t("kept.set_beside", { count });
    for (const card of list.children) {
      const on = store.state.side.ids.includes(card.dataset.id);
      setAttribute(card.querySelector(".beside-toggle"), "aria-pressed", String(on));
    }
  }

  return { section, refresh: showBeside };
}
