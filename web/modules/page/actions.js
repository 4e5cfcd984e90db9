/** What can be done with a result: keep the food, add it to the meal, share it, print it. */

import { keep, KeepError } from "../phone/database.js";
import { button, drawing, el, focusOn, write } from "./dom.js";
import { servingText } from "./draft.js";
import { nameField } from "./name_field.js";
import { shareText } from "./share_text.js";

/** Return the actions with `refresh()`. */
export function actions(page) {
  const { t } = page.voice;
  const { store } = page;
  const status = el("p", { class: "told", role: "status" });
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
    status,
  );

  function open() {
    form.hidden = !form.hidden;
    keeper.setAttribute("aria-expanded", String(!form.hidden));
    if (form.hidden) return;
    name.value = store.state.name || page.result.panel.name || store.state.food;
    focusOn(name);
  }

  /** Return what is kept: the label as checked, and the amount of now. */
  function record() {
    const { amount, food, name: called } = store.state;
    return { name: called || page.result.panel.name || food || servingText(store.state.draft, page.voice), panel: page.result.panel, food, amount };
  }

  async function submit(event) {
    event.preventDefault();
    const { keptId } = store.state;
    store.update({ name: name.value.trim() });
    await told(async () => {
      const kept = await keep("foods", { ...(keptId && { id: keptId }), ...record() });
      store.update({ keptId: kept.id });
      form.hidden = true;
      keeper.setAttribute("aria-expanded", "false");
      return t("act.kept", { name: kept.name });
    });
    keeper.focus();
  }

  async function toMeal() {
    await told(async () => {
      await keep("meal", record());
      return t("act.in_meal");
    });
  }

  async function share() {
    const text = shareText(page, record().name);
    try {
      if (navigator.share) return await navigator.share({ title: record().name, text });
      await navigator.clipboard.writeText(text);
      write(status, t("act.copied"));
    } catch (error) {
      if (error.name !== "AbortError") write(status, t("act.not_shared"));
    }
  }

  async function told(act) {
    try {
      write(status, await act());
    } catch (error) {
      if (!(error instanceof KeepError)) throw error;
      write(status, t("act.not_kept"));
    }
  }

  function refresh() {
    element.hidden = !page.result?.portion;
  }

  return { element, refresh };
}
