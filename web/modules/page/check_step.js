/** The second step: the label as it was read or is being typed, doubtful lines first, every field open to change. */

import { CORE } from "../panel.js";
import { button, el, focusOn, fold } from "./dom.js";
import { isSettled, ownerOf, servingText, withConfirmed, withText } from "./draft.js";
import { allRows, rowsOf } from "./fields.js";
import { faultSummary, openTo } from "./fault_summary.js";
import { reviewDraft } from "./review.js";
import { owns, rowView } from "./row.js";
import { step } from "./step.js";

/** Return the section where the label is checked and corrected. */
export function checkStep(page) {
  const { t } = page.voice;
  const { facts, store } = page;
  const { draft: start, photo } = store.state;

  const groups = rowsOf(facts, start.panel);
  const act = { onText, onSettle, onConfirm };
  const views = allRows(groups).map((row) => rowView(page, row, act));
  const first = reviewDraft(facts, start, page.voice);
  const forward = new Set(views.filter((view) => isForward(view, start, first)));
  const told = new Set(first.doubts.map(nameOf));
  let tried = false;

  const lookTitle = el("h3");
  const look = el(
    "div",
    { class: "look" },
    lookTitle,
    el("p", { class: "small", text: t("check.look_hint") }),
    ...elementsOf(forward),
  );
  const summary = faultSummary(page, views);
  const percents = button(t("check.percents"), addPercents, { class: "quiet" });
  const form = el(
    "form",
    { novalidate: true, on: { submit } },
    ...ofThePhoto(start).map((reason) => el("p", { class: "doubt", text: reason })),
    start.source === "photo" &&
      el("p", { class: "hint", text: t(forward.size ? "check.some_doubts" : "check.no_doubts") }),
    forward.size > 0 && look,
    el(
      "fieldset",
      { class: "rows main-rows" },
      el("legend", { text: t(forward.size ? "check.rest" : "check.main") }),
      ...rows(groups.main),
    ),
    percents,
    more("check.more", groups.more),
    ...Object.entries(groups.columns).map(([name, column]) => more(`check.column.${name}`, column)),
    photo && wholePhoto(),
    summary.element,
    el("button", { type: "submit", class: "primary wide next" }, el("span", { text: t("check.next") })),
  );
  const gist = el("p", { class: "gist" });
  const folded = el(
    "div",
    { class: "folded" },
    gist,
    button(t("check.correct"), correct, { class: "quiet" }),
  );
  const section = step("check", 2, t("check.title"), folded, form);

  function isForward({ row }, draft, review) {
    const doubtful = review.doubts.some(({ field }) => owns(row, field));
    const { path } = row.fields[0];
    const absent = page.mainRows.includes(row.id) && !draft.texts[path]?.trim() && !isSettled(draft, path);
    return draft.source === "photo" && (doubtful || absent);
  }

  function rows(group) {
    return elementsOf(views.filter((view) => group.includes(view.row) && !forward.has(view)));
  }

  function more(key, group) {
    const inside = rows(group);
    return inside.length > 0 && fold(t(key), el("div", { class: "rows" }, ...inside));
  }

  function wholePhoto() {
    const image = el("img", { class: "photo", alt: t("check.photo_alt"), src: page.photoUrl });
    return el("div", { class: "whole-photo" }, fold(t("check.photo"), image));
  }

  function onText(path, text) {
    store.update({ draft: withText(store.state.draft, path, text) });
  }

  function onSettle() {
    const review = reviewDraft(facts, store.state.draft, page.voice);
    show(tried ? withBlanks(review) : review);
  }

  function onConfirm(row) {
    const paths = new Set(row.fields.map(({ path }) => ownerOf(path)));
    store.update({ draft: withConfirmed(store.state.draft, [...paths]) });
    onSettle();
    const next = views.find((view) => view.element.classList.contains("is-doubtful") && forward.has(view));
    focusOn(next?.input ?? form.querySelector(".next"));
  }

  function addPercents() {
    store.update({ draft: { ...store.state.draft, percents: true } });
    onSettle();
  }

  function submit(event) {
    event.preventDefault();
    tried = true;
    const review = withBlanks(reviewDraft(facts, store.state.draft, page.voice));
    show(review);
    summary.tell(review.faults);
    if (Object.keys(review.faults).length) return focusOn(summary.element);
    const doubted = newlyDoubted(review.doubts);
    if (doubted) {
      summary.hint(t("check.look_again"));
      return focusOn(openTo(doubted));
    }
    store.update({ at: "amount", opened: true });
    page.go("amount");
  }

  /** Add a doubt for each main number that a typed label leaves empty: it may have been passed over. */
  function withBlanks(review) {
    const { draft } = store.state;
    if (draft.source === "photo") return review;
    const blank = CORE.map((id) => `nutrients.${id}`).filter((path) => !draft.texts[path]?.trim() && !isSettled(draft, path));
    const reason = t("check.blank");
    return { ...review, doubts: [...review.doubts, ...blank.map((field) => ({ field, code: "blank", reason, box: null }))] };
  }

  /** Return the first row with a doubt that has not been shown before; each holds a person up only once. */
  function newlyDoubted(doubts) {
    const fresh = doubts.filter((doubt) => !told.has(nameOf(doubt)));
    for (const doubt of fresh) told.add(nameOf(doubt));
    return views.find(({ row }) => fresh.some(({ field }) => owns(row, field)));
  }

  function show(review) {
    const { draft } = store.state;
    // Nobody is told of a field before they have been there, or have tried to go on.
    const faults = Object.entries(review.faults).filter(
      ([path]) => tried || draft.edited.includes(ownerOf(path)),
    );
    for (const view of views) view.show({ ...review, faults: Object.fromEntries(faults) }, draft);
    const left = [...forward].filter(({ element }) => element.classList.contains("is-doubtful")).length;
    lookTitle.textContent = left ? t("check.look", { count: left }) : t("check.looked");
    percents.hidden = draft.percents;
    form.classList.toggle("with-percents", draft.percents);
    if (summary.isTold()) summary.tell(review.faults);
  }

  function correct() {
    store.update({ at: "check" });
    page.go("check");
  }

  function refresh() {
    const { draft, at, opened } = store.state;
    if (!draft) return;
    section.classList.toggle("is-folded", opened && at === "amount");
    gist.textContent = gistOf(page, draft);
  }

  show(first);
  return { section, refresh };
}

function elementsOf(views) {
  return [...views].map(({ element }) => element);
}

/** Return what is wrong with the photo itself, in the service's words. */
function ofThePhoto({ panel }) {
  return (panel.doubts ?? []).filter(({ field }) => field === "photo").map(({ reason }) => reason);
}

function nameOf({ field, code }) {
  return `${field} ${code}`;
}

/** Return the label in one line, to be seen while the form is folded. */
function gistOf(page, draft) {
  const { texts } = draft;
  const said = CORE.filter((id) => texts[`nutrients.${id}`]?.trim()).map((id) =>
    [texts[`nutrients.${id}`].trim(), page.unitOf(id), page.voice.word(`nutrient.${id}`)]
      .filter(Boolean)
      .join(" "),
  );
  return [servingText(draft, page.voice), ...said].join(" · ");
}
