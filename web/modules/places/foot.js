/** The foot of each place: the way to what this phone keeps. */

import { el } from "../page/dom.js";

/** Return a small paragraph with the link to "This phone". */
export function footLink(page) {
  const link = el("a", { href: "#/phone", text: page.voice.t("phone.link") });
  return el("p", { class: "place-foot" }, link);
}
