/** What is worth knowing: the first few sentences, the others a press away. */

import { el, fold } from "./dom.js";

/** Said as numbers with bars already, so not again in words. */
const SEEN = ["servings", "day_sodium", "meal_share"];
const FIRST = 3;

/** Return the list; with nothing to say it is not there. */
export function insightList(page) {
  const { t } = page.voice;
  const first = el("ul", { class: "insights" });
  const others = el("ul", { class: "insights" });
  const rest = fold(t("numbers.more_insights"), others);
  const element = el("div", {}, el("h3", { text: t("numbers.insights") }), first, rest);

  function show(insights) {
    const said = insights.filter(({ code }) => !SEEN.includes(code));
    const items = said.map(({ code, text }) => el("li", { class: code, text }));
    const few = items.length <= FIRST + 1 ? items.length : FIRST; // no fold for a single sentence
    first.replaceChildren(...items.slice(0, few));
    others.replaceChildren(...items.slice(few));
    rest.hidden = items.length === few;
    element.hidden = items.length === 0;
  }

  return { element, show };
}
