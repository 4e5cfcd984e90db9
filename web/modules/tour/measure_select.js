/** The measures of a label's food as a list to choose from. */

import { el } from "../page/dom.js";
import { nameOf, waysToSay } from "../page/ways.js";

/** Return the list; `act` is called with the measure that was chosen. */
export function measureSelect(page, panel, id, act) {
  const ids = Object.values(waysToSay(page, panel)).flat();
  const select = el("select", { id }, ...ids.map((one) => el("option", { value: one, text: nameOf(page, one, 1) })));
  select.addEventListener("change", () => act(select.value));
  return select;
}
