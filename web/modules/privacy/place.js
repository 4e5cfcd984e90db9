/** Privacy: what stays on this phone, what is sent, what others keep; each sentence is held to the code by a test. */

import { cautions } from "../insight.js";
import { drawing, el } from "../page/dom.js";
import { furnish } from "../page/rooms.js";
import { footLink, wayTo } from "../places/foot.js";
import { placeSection } from "../places/frame.js";

/** In short: a drawing and a sentence for each of the three things that people ask first. */
const SHORT = [
  ["tab_hands", "privacy.short_stays"],
  ["camera", "privacy.short_photo"],
  ["tick", "privacy.short_none"],
];
/** The things that stay on this phone, one for each place where the app keeps something. */
const KEPT = [
  "privacy.kept_now",
  "privacy.kept_foods",
  "privacy.kept_meal",
  "privacy.kept_waiting",
  "privacy.kept_tours",
  "privacy.kept_app",
];
const GONE = ["privacy.gone_tour", "privacy.gone_safari", "privacy.gone_note"];
const SENT = ["privacy.sent_photo", "privacy.sent_read", "privacy.sent_notes", "privacy.sent_typed", "privacy.sent_other"];
const GROUP = ["privacy.group_lead", "privacy.group_join", "privacy.group_number", "privacy.group_none"];
const LOGGED = ["privacy.log_line", "privacy.log_none", "privacy.log_count", "privacy.log_others"];

/** Return the place. */
export async function place(page) {
  await furnish(page, "privacy");
  const { t, lang } = page.voice;
  const { tourDays } = page.facts.settings;
  const delete_ = { place: t("phone.title"), button: t("phone.delete") };
  const section = placeSection(
    { id: "privacy", title: t("phone.privacy"), hint: t("privacy.hint") },
    el("ul", { class: "in-short" }, ...SHORT.map(([picture, key]) => el("li", {}, drawing(picture, "sign"), el("span", { text: t(key) })))),
    el(
      "div",
      { class: "privacy-parts" },
      part("privacy.kept", el("p", { text: t("privacy.kept_where") }), list(KEPT), el("p", { text: t("privacy.kept_photo") })),
      part("privacy.gone", el("p", { text: t("privacy.gone_how", delete_) }), list(GONE), footLink(page)),
      part("privacy.sent", list(SENT)),
      part("privacy.group", list(GROUP), el("p", { class: "days", text: t("privacy.group_days", { count: tourDays }) })),
      part("privacy.log", list(LOGGED)),
      part("privacy.none", el("p", { text: t("privacy.none_of") })),
      part("privacy.ask", el("p", { text: t("privacy.ask_whom") })),
      part("phone.cautions", el("p", { text: cautions(page.facts, lang).join(" ") })),
    ),
    wayTo("#/label", t("privacy.back")),
  );

  function part(title, ...body) {
    return el("div", { class: "phone-part" }, el("h3", { text: t(title) }), ...body);
  }

  function list(keys) {
    return el("ul", { class: "privacy-list" }, ...keys.map((key) => el("li", { text: t(key) })));
  }

  return { section, refresh() {} };
}
