/** One row of the label form: its inputs, what is wrong or doubtful about them, and the line of the photo. */

import { nutrients } from "../rules.js";
import { DEFAULT } from "../words.js";
import { button, drawing, el, write } from "./dom.js";
import { isSettled } from "./draft.js";
import { fieldInput } from "./inputs.js";
import { drawCrop } from "./photo.js";

/**
 * Return a row of the form.
 *
 * @param {object} page What every screen gets: facts, store and voice (see app.js).
 * @param {import("./fields.js").Row} row
 * @param {{onText: (path: string, text: string) => void, onSettle: () => void, onConfirm: (row: object) => void}} act
 * @returns {{element: HTMLElement, row: object, input: HTMLElement, show: (review: object, draft: object) => void}}
 */
export function rowView(page, row, act) {
  const { t, word, lang } = page.voice;
  const id = `field-${row.id.replaceAll(".", "-")}`;
  const printed = lang === DEFAULT ? "" : printedName(page.facts, row);
  const english = printed && el("span", { class: "small printed", lang: DEFAULT, text: printed });
  const name = el("label", { class: "row-name", for: id }, word(row.label), english || null);
  const inputs = row.fields.map((field, place) =>
    fieldInput(page, row, field, place ? `${id}-${field.kind}` : id, [`${id}-doubt`, `${id}-fault`], act),
  );
  const fault = el("p", { class: "fault", id: `${id}-fault`, hidden: true });
  const doubt = el("p", { class: "doubt", id: `${id}-doubt`, hidden: true });
  const agree = button(
    "",
    () => act.onConfirm(row),
    { class: "quiet agree", hidden: true },
    drawing("tick", "sign"),
  );
  const confirmed = el(
    "p",
    { class: "confirmed", hidden: true },
    drawing("tick", "sign"),
    t("check.righted"),
  );
  const crop = el("canvas", {
    class: "crop",
    role: "img",
    "aria-label": t("check.crop", { field: word(row.label) }),
    hidden: true,
  });
  const [boxes, fields] = [true, false].map((box) =>
    inputs.filter((input) => input.isBox === box).map((input) => input.element),
  );
  const line = el("div", { class: "row-line" }, name, el("div", { class: "row-inputs" }, ...fields));
  const element = el(
    "div",
    { class: row.unit === null ? "row" : "row nutrient" },
    crop,
    doubt,
    line,
    ...inputs.map(({ below }) => below).filter(Boolean),
    ...boxes,
    fault,
    agree,
    confirmed,
  );
  let cropped = null;

  function show(review, draft) {
    const faults = inputs.map(({ field }) => review.faults[field.path]).filter(Boolean);
    const doubts = review.doubts.filter(({ field }) => owns(row, field));
    write(fault, [...new Set(faults)].join(" "));
    write(doubt, [...new Set(doubts.map(({ reason }) => reason))].join(" ") || missing(draft));
    agree.hidden = doubt.hidden || faults.length > 0;
    agree.lastChild.textContent = t(draft.texts[row.fields[0].path]?.trim() ? "check.right" : "check.absent");
    confirmed.hidden = !row.fields.some(({ path }) => draft.confirmed.includes(path));
    element.classList.toggle("is-doubtful", !doubt.hidden);
    element.classList.toggle("is-faulty", faults.length > 0);
    for (const input of inputs) input.show(draft, Boolean(review.faults[input.field.path]));
    const box = doubts.find((one) => one.box)?.box;
    if (box && page.store.state.photo && cropped !== String(box)) showCrop(box);
  }

  /** Say of a main line that the photo did not give it. */
  function missing(draft) {
    const { path } = row.fields[0];
    const core = page.mainRows.includes(row.id);
    return draft.source === "photo" && core && !isSettled(draft, path) && !draft.texts[path]?.trim()
      ? word("doubt.not_found")
      : "";
  }

  function showCrop(box) {
    cropped = String(box);
    drawCrop(crop, page.store.state.photo, box).then(
      () => (crop.hidden = false),
      () => (crop.hidden = true), // the words beside the field are enough
    );
  }

  return { element, row, input: inputs[0].control, show };
}

/** Return what most packages print for a row: English stands on all of them. */
function printedName(facts, { id, label }) {
  const nutrient = nutrients(facts).get(id.split(".").at(-1));
  return nutrient ? nutrient.print[DEFAULT][0] : facts.words[DEFAULT][label];
}

/** Tell whether the doubt's field stands in the row. */
export function owns(row, field) {
  return row.fields.some(({ path }) => path === field || field === `${path}.value`);
}
