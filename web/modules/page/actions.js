/** What can be done with a result: keep the food, add it to the meal, share it, print it. */

import { keep, KeepError, letGo, recordsOf } from "../phone/database.js";
import { button, drawing, el, focusOn } from "./dom.js";
import { servingText } from "./draft.js";
import { equalsWords } from "./figures.js";
import { settled } from "./first_amount.js";
import { nameField } from "./name_field.js";
import { news } from "./news.js";
import { hand, shareText } from "./share_text.js";

/** Two presses within so many milliseconds are one. Judgement. */
const TWICE = 800;

/** Return the actions with `refresh()`. */
export function actions(page) {
  const { t } = page.voice;
  const { store } = page;
  let pressed = 0;
  const status = news(page);
  const name = nameField("food-name");
  const form = el(
    "form",
    { class: "keep-form", hidden: true, on: { submit } },
    el("label", { for: "food-name", text: t("act.name") }),
    name,
    el("button", { type: "submit", class: "primary" }, el("span", { text: t("act.keep_now") })),
  );
  const keeper = button(t("act.keep"), open, { class: "quiet", "aria-expanded": "false" }, drawing("tab_kept", "sign"));
  const element = el(
    "div",
    { class: "acts" },
    el(
      "div",
      { class: "act-buttons" },
      keeper,
      button(t("act.meal"), toMeal, { class: "quiet" }, drawing("tab_meal", "sign")),
      button(t("act.share"), share, { class: "quiet" }, drawing("share", "sign")),
      button(t("act.print"), () => window.print(), { class: "quiet" }, drawing("print", "sign")),
    ),
    form,
    status.element,
  );

  /** Keep the food at once, under the best name there is, and ask for a better one. */
  async function open() {
    if (!form.hidden) return shut();
    form.hidden = false;
    keeper.setAttribute("aria-expanded", "true");
    name.value = store.state.name || page.result.panel.name || store.state.food;
    focusOn(name);
    await keepNow();
  }

  function shut() {
    form.hidden = true;
    keeper.setAttribute("aria-expanded", "false");
  }

  /** Return what is kept: the label as checked, and the amount of now. */
  function record() {
    const { amount, food, name: called } = store.state;
    return { name: called || page.result.panel.name || food || servingText(store.state.draft, page.voice), panel: page.result.panel, food, amount: settled(amount) };
  }

  async function submit(event) {
    event.preventDefault();
    store.update({ name: name.value.trim() });
    await keepNow();
    shut();
    keeper.focus();
  }

  async function keepNow() {
    const { keptId } = store.state;
    await told(async () => {
      const kept = await keep("foods", { ...(keptId && { id: keptId }), ...record() });
      store.update({ keptId: kept.id });
      return [t("act.kept", { name: kept.name })];
    });
  }

  /** A second press at once is a slip of the thumb. */
  async function toMeal() {
    if (Date.now() - pressed < TWICE) return;
    pressed = Date.now();
    await told(async () => {
      const { id } = await keep("meal", record());
      const count = (await recordsOf("meal")).length;
      return [t("act.in_meal", { count }), () => letGo("meal", id)];
    });
  }

  async function share() {
    const { portion } = page.result;
    const { name: title } = record();
    const head = [title, equalsWords(page, portion)];
    status.say(await hand(page, title, shareText(page, head, (id) => portion.nutrients[id])));
  }

  async function told(act) {
    try {
      status.say(...(await act()));
    } catch (error) {
      if (!(error instanceof KeepError)) throw error;
      status.say(t("act.not_kept"));
    }
  }

  function refresh() {
    element.hidden = !page.result?.portion;
  }

  return { element, refresh, name: () => record().name };
}
