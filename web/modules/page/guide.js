/** Before there is a label: the hand as a measure, each drawing with what it holds. */

import { measures } from "../measures.js";
import { drawing, el } from "./dom.js";
import { isDrawn, nameOf, shown } from "./ways.js";

/** Return the guide to the hand measures. */
export function handGuide(page) {
  const { t } = page.voice;
  const hands = [...measures(page.facts).keys()].filter((id) => isDrawn(page, id));
  const entry = (id) =>
    el(
      "li",
      {},
      drawing(id),
      el(
        "div",
        {},
        el("p", { class: "chosen-name", text: nameOf(page, id, 1) }),
        el("p", { class: "small", text: shown(page, id) }),
      ),
    );
  const title = el("h2", { id: "guide-title", text: t("guide.title") });
  const list = el("ul", { class: "guide-list" }, ...hands.map(entry));
  return el(
    "section",
    { class: "guide", "aria-labelledby": "guide-title" },
    title,
    el("p", { class: "hint", text: t("guide.hint") }),
    list,
  );
}
