/** What is wrong and what is doubtful about a draft, and the panel that it makes. */

import { checkPanel } from "../check.js";
import { isSettled, ownerOf, servingText } from "./draft.js";
import { allRows, numberFrom, rowsOf } from "./fields.js";

/**
 * @typedef {object} Review
 * @property {object | null} panel The panel, each field sure, to be checked or missing; null when there are faults.
 * @property {Object<string, string>} faults Sentences by path.
 * @property {{field: string, code: string, reason: string, box: number[] | null}[]} doubts Those nobody has settled.
 */

/**
 * Return the panel of a draft (null when it has faults), its faults by path, and the doubts that nobody has settled.
 *
 * A doubt of the photo ends when its field is edited or confirmed; a doubt of the arithmetic only when it is confirmed.
 */
export function reviewDraft(facts, draft, voice) {
  const raw = rawPanel(facts, draft, voice);
  const { panel, faults, doubts: found } = checkPanel(facts, raw, voice.lang);
  const { household_amount: household, metric_amount: metric } = raw.serving;
  if (household.value === null && metric.value === null) {
    faults["serving.household_amount"] = voice.t("check.need_serving");
  }
  const read = doubtsOfPhoto(draft, voice);
  const fresh = found.filter(({ field }) => !draft.confirmed.includes(ownerOf(field)));
  const doubts = [...read, ...fresh.filter((doubt) => !read.some(sameAs(doubt)))];
  return { panel: Object.keys(faults).length ? null : withStates(panel, raw, doubts), faults, doubts };
}

function sameAs({ field, code }) {
  return (other) => other.field === field && other.code === code;
}

/** Return what the photo left open, in the language of now where the parts of its sentence came with it. */
function doubtsOfPhoto({ panel, ...draft }, voice) {
  const said = (panel.doubts ?? []).map((doubt) =>
    doubt.params ? { ...doubt, reason: voice.word(`doubt.${doubt.code}`, doubt.params) } : doubt,
  );
  const named = new Set(said.map(({ field }) => ownerOf(field)));
  const groups = [
    ["serving", panel.serving],
    ["nutrients", panel.nutrients],
  ];
  for (const [name, column] of Object.entries(panel.columns ?? {})) groups.push([`columns.${name}`, column]);
  const unclear = groups.flatMap(([name, group]) =>
    Object.entries(group ?? {})
      .filter(([key, field]) => field?.state === "check" && !named.has(`${name}.${key}`))
      .map(([key]) => ({
        field: `${name}.${key}`,
        code: "unclear",
        reason: voice.word("doubt.unclear"),
        box: null,
      })),
  );
  return [...said, ...unclear].filter(({ field }) => !isSettled(draft, ownerOf(field)));
}

/** Return the panel's JSON with whatever stands in the fields; what is no number is left for the check to tell. */
function rawPanel(facts, draft, voice) {
  const { panel, texts } = draft;
  const raw = { serving: {}, nutrients: {}, columns: {}, form: panel.form ?? "2016" };
  for (const row of allRows(rowsOf(facts, panel))) {
    for (const { path, kind } of row.fields) put(raw, draft, path, kind, texts[path] ?? "");
  }
  raw.serving.text = servingText(draft, voice).slice(0, 80);
  for (const key of ["name", "food"]) if (panel[key]) raw[key] = panel[key];
  return raw;
}

function put(raw, draft, path, kind, text) {
  const keys = ownerOf(path).split(".");
  let place = raw;
  for (const key of keys) place = place[key] ??= {};
  if (kind === "percent") place.percent_dv = numberFrom(text);
  else if (kind === "less") place.less_than = text === "yes";
  else if (kind === "about") place.about = text === "yes";
  else place.value = kind === "number" ? numberFrom(text) : text.trim() || null;
  if (kind === "number" && text.trim().startsWith("<")) place.less_than = true;
  if (place.value === null) place.state = "missing";
  else place.state = isSettled(draft, ownerOf(path)) ? "sure" : (stateIn(draft.panel, keys) ?? "sure");
}

/** Return `panel` with each field in doubt to be checked, and every other as the draft has it. */
function withStates(panel, raw, doubts) {
  const out = structuredClone(panel);
  const inDoubt = new Set(doubts.map(({ field }) => ownerOf(field)));
  const groups = { serving: out.serving, nutrients: out.nutrients };
  for (const [name, column] of Object.entries(out.columns ?? {})) groups[`columns.${name}`] = column;
  for (const [name, group] of Object.entries(groups)) {
    for (const [key, field] of Object.entries(group)) {
      if (field === null || typeof field !== "object" || field.state === "missing") continue;
      const typed = name.split(".").reduce((place, part) => place[part], raw)[key]?.state;
      field.state = inDoubt.has(`${name}.${key}`) ? "check" : (typed ?? "sure");
    }
  }
  return out;
}

function stateIn(panel, keys) {
  const state = keys.reduce((place, key) => place?.[key], panel)?.state;
  return state === "missing" ? "sure" : state;
}
