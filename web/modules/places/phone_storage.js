/** What the phone keeps, counted; how much room it takes; and whether the phone may clear it. */

import { KeepError, recordsOf, STORES } from "../phone/database.js";
import { button, el, write } from "../page/dom.js";

const MB = 1e6;

/** Return the list of what is kept, filled in at each `refresh`. */
export function keptList(page) {
  const { t, number } = page.voice;
  const figures = Object.fromEntries([...STORES, "hands", "plan", "space"].map((id) => [id, el("dd", {})]));
  const names = {
    foods: t("phone.foods"),
    meal: t("phone.meal"),
    waiting: t("phone.waiting"),
    hands: t("phone.hands"),
    plan: t("phone.plan"),
    space: t("phone.space"),
  };
  const rows = Object.entries(figures).map(([id, figure]) =>
    el("div", { data: { kept: id } }, el("dt", { text: names[id] }), figure),
  );
  const problem = el("p", { class: "problem", hidden: true });
  const element = el("div", {}, el("dl", { class: "kept-list" }, ...rows), problem);

  async function refresh() {
    const { hands, plan } = page.store.state;
    const measured = Object.keys(hands).length > 0;
    figures.hands.textContent = measured ? t("phone.hands_own") : t("phone.hands_usual");
    const set = Object.values(plan).some((text) => text.trim());
    figures.plan.textContent = set ? t("phone.plan_set") : t("phone.plan_open");
    await Promise.all([count(), measureSpace()]);
  }

  async function count() {
    try {
      for (const store of STORES) figures[store].textContent = number((await recordsOf(store)).length);
      write(problem, "");
    } catch (error) {
      if (!(error instanceof KeepError)) throw error;
      for (const store of STORES) figures[store].textContent = "–";
      write(problem, t("phone.not_kept"));
    }
  }

  async function measureSpace() {
    const { usage, quota } = (await navigator.storage?.estimate?.()) ?? {};
    const known = usage !== undefined && quota !== undefined;
    const parts = known && { used: number(usage / MB, 1), quota: number(quota / MB) };
    figures.space.textContent = known ? t("phone.space_of", parts) : t("phone.space_unknown");
  }

  return { element, refresh };
}

/** Return the sentence on whether the phone may clear what is kept, with a button to ask that it does not. */
export function safety(page) {
  const { t } = page.voice;
  const said = el("p", { role: "status", tabindex: "-1" });
  const ask = button(t("phone.ask"), request, { class: "quiet" });
  const element = el("div", { class: "kept-safety" }, said, ask);

  async function request() {
    const granted = await navigator.storage.persist();
    await refresh();
    if (!granted) said.textContent = t("phone.refused");
    if (ask.hidden) said.focus();
  }

  async function refresh() {
    const safe = (await navigator.storage?.persisted?.()) ?? false;
    said.textContent = safe ? t("phone.persisted") : t("phone.may_clear");
    ask.hidden = safe || !navigator.storage?.persist;
  }

  return { element, refresh };
}
