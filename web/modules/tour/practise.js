/** Practice: pour what you call a fist, measure it, practise, and measure again. */

import { measures } from "../measures.js";
import { button, el, fold, labelled, write } from "../page/dom.js";
import { numberFrom } from "../page/fields.js";
import { isDrawn, nameOf } from "../page/ways.js";
import { FIST, handsWith, sayIn, unitsOf } from "../places/hands_sizes.js";
import { change, partIn } from "./mine.js";
import { put, waits } from "./send.js";

const ROUNDS = ["before", "after"];
const UNITS = { ml: ["cup", "tbsp", "tsp", "ml"], g: ["oz", "g"] };

/** Return the view, folded, with `remember(practice)`, `heard(path, answer, refusal)` and `refresh()`. */
export function practiceView(page, code, onSent) {
  const { t } = page.voice;
  const ways = [...measures(page.facts).values()].filter(({ id, kind }) => kind === "hand" && isDrawn(page, id));
  const measure = el("select", { id: "practice-measure", on: { change: refresh } }, ...ways.map(({ id }) => el("option", { value: id, text: nameOf(page, id, 1) })));
  const rounds = ROUNDS.map((round) => el("label", { class: "switch-side" }, el("input", { type: "radio", name: "practice-round", value: round, ...(round === "before" && { checked: true }), on: { change: refresh } }), el("span", { text: t(`tour.${round}`) })));
  const input = el("input", { type: "text", id: "practice-size", inputmode: "decimal", autocomplete: "off" });
  const unit = el("select", { class: "hand-unit", "aria-label": t("hands.unit") });
  const fault = el("p", { class: "fault", role: "alert", hidden: true });
  const told = el("p", { class: "stop-state", role: "status" });
  const own = button(t("tour.as_own"), useAsOwn, { class: "quiet", hidden: true });
  const form = el(
    "form",
    { class: "practice-form", novalidate: true, on: { submit } },
    el("fieldset", { class: "switch" }, el("legend", { text: t("tour.round") }), el("div", { class: "switch-sides" }, ...rounds)),
    labelled(t("tour.practice_measure"), measure),
    labelled(t("tour.practice_size"), input, el("div", { class: "hand-number" }, input, unit)),
    fault,
    el("button", { type: "submit", class: "primary" }, el("span", { text: t("tour.practice_send") })),
    told,
    own,
  );
  const element = fold(t("tour.practice"), el("p", { class: "small", text: t("tour.practice_hint") }), form);
  refresh();

  function chosen() {
    const way = measures(page.facts).get(measure.value);
    const round = form.querySelector("input[name=practice-round]:checked").value;
    return { way, round, dimension: way.ways[0].dimension, key: `${round} ${way.id}` };
  }

  function refresh() {
    const { dimension, key, way } = chosen();
    const units = unitsOf(page, UNITS[dimension]);
    if (unit.dataset.of !== dimension) unit.replaceChildren(...units.map(({ id, name }) => el("option", { value: id, text: name })));
    unit.dataset.of = dimension;
    const size = partIn(code).practised?.[key] ?? null;
    own.hidden = size === null || !way.scales;
    const parts = size !== null && { measure: nameOf(page, way.id, 1), size: sayIn(page, { size, dimension }).about, usual: sayIn(page, { size: way.ways[0].amount, dimension }).about };
    write(told, waits(code, "practice") ? t("tour.answer_waits") : parts ? t("tour.practice_told", parts) : "");
  }

  function submit(event) {
    event.preventDefault();
    const { way, round, dimension } = chosen();
    const number = numberFrom(input.value);
    if (typeof number !== "number" || number <= 0) return write(fault, t("tour.practice_number"));
    write(fault, "");
    const { size } = unitsOf(page, UNITS[dimension]).find(({ id }) => id === unit.value);
    put(code, "practice", { round, measure: way.id, measured: number * size });
    refresh();
    return onSent();
  }

  /** Keep what the service has taken; each measure and round has one number. */
  function remember(practice) {
    const practised = Object.fromEntries(practice.map(({ round, measure: id, measured }) => [`${round} ${id}`, measured]));
    change(code, { practised: { ...partIn(code).practised, ...practised } });
    refresh();
  }

  function heard(_path, answer, refusal) {
    write(fault, refusal ?? "");
    if (answer?.practice) remember([answer.practice]);
    refresh();
  }

  /** Let the number that was measured be this person's own from now on. */
  function useAsOwn() {
    const { way, dimension, key } = chosen();
    const size = partIn(code).practised[key];
    const before = way.id === "fist" ? FIST : [];
    page.store.update({ hands: handsWith(page.store.state.hands, before, { [`${way.id}_${dimension}`]: size }) });
    write(told, t("hands.everywhere"));
  }

  return { element, remember, heard, refresh };
}
