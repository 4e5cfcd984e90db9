/** Everything that must change before going on, told in one place, each with a way to its field. */

import { el, focusOn, write } from "./dom.js";
import { owns } from "./row.js";

/**
 * Return the summary, empty until something is told.
 *
 * @param {object} page
 * @param {object[]} views The rows of the form (row.js).
 * @returns {{element: HTMLElement, tell: (faults: Object<string, string>) => void, hint: (text: string) => void,
 *   isTold: () => boolean}}
 */
export function faultSummary(page, views) {
  const { t, word } = page.voice;
  const element = el("div", { class: "problem", role: "alert", tabindex: "-1", hidden: true });

  /** List the faults; none hides the summary. */
  function tell(faults) {
    const paths = Object.keys(faults);
    write(element, paths.length ? t("check.faults", { count: paths.length }) : "");
    if (paths.length) element.append(el("ul", {}, ...paths.map((path) => item(path, faults[path]))));
  }

  function item(path, sentence) {
    const view = views.find(({ row }) => owns(row, path));
    if (!view) return el("li", { text: sentence });
    const jump = (event) => {
      event.preventDefault();
      focusOn(openTo(view));
    };
    const name = word(view.row.label);
    const link = el("a", { href: `#${view.input.id}`, text: name, on: { click: jump } });
    return el("li", {}, link, sentence);
  }

  return {
    element,
    tell,
    hint: (text) => write(element, text),
    isTold: () => element.querySelector("ul") !== null,
  };
}

/** Open the folds around a row and return its input. */
export function openTo({ element, input }) {
  for (let fold = element.closest("details"); fold; fold = fold.parentElement.closest("details")) {
    fold.open = true;
  }
  return input;
}
