/** The foot of each place: the way to what this phone keeps, and to what becomes of what is sent. */

import { el } from "../page/dom.js";

/** Return a small paragraph with the link to "This phone". */
export function footLink(page) {
  return wayTo("#/phone", page.voice.t("phone.link"));
}

/** Return a small paragraph with the link to what is kept and sent. */
export function privacyLink(page) {
  return wayTo("#/privacy", page.voice.t("phone.privacy"));
}

/** Return a small paragraph with a link. */
export function wayTo(href, text) {
  return el("p", { class: "place-foot" }, el("a", { href, text }));
}
