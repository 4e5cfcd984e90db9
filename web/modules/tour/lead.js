/** The educator's tour: its code, and four views of it: lead, prepare, report, and the sheet to take home. */

import { button, el, focusOn, setAttribute, write } from "../page/dom.js";
import { placeSection } from "../places/frame.js";
import { ask, sentenceOf } from "./api.js";
import { leadStops } from "./lead_stops.js";
import { live } from "./live.js";
import { keepLed } from "./mine.js";
import { prepareView } from "./prepare.js";
import { reportView } from "./report.js";
import { sheetView } from "./sheet.js";
import { furnish } from "../page/rooms.js";

const VIEWS = { lead: leadStops, prepare: prepareView, report: reportView, sheet: sheetView };

/** Return the place of the tour that `token` leads. */
export async function place(page, token) {
  await furnish(page, "tours");
  const { t } = page.voice;
  const fault = el("p", { class: "problem", role: "alert", hidden: true });
  const code = el("p", { class: "tour-code" });
  const qr = el("img", { class: "tour-qr", alt: "", width: 148, height: 148, hidden: true });
  const there = el("p", { class: "tour-there", role: "status" });
  const card = el("div", { class: "tour-card" }, el("div", {}, el("p", { class: "small", text: t("tour.join_at") }), code, el("p", { class: "small", text: joinAddress() }), there), qr);
  const tabs = Object.keys(VIEWS).map((name) => button(t(`tour.view.${name}`), () => choose(name), { class: "tour-tab", data: { view: name } }));
  const room = el("div", { class: "tour-view" });
  const parts = el("div", { class: "tour-tabs", role: "group", "aria-label": t("tour.views"), hidden: true }, ...tabs);
  card.hidden = true;
  const head = { id: "lead", title: t("tour.start"), hint: "" };
  const section = placeSection(head, fault, card, parts, room);
  const title = section.querySelector("#place-title");
  const lead = { page, token, tour: null, etag: "", request, take };
  let view = null;
  let chosen = "";
  const watch = live(look, (error) => write(fault, error ? sentenceOf(page, error) : ""));
  await watch.now();

  async function look() {
    const { data, etag } = await ask(page, "tours/mine", { token, etag: lead.etag });
    if (data) take(data, etag);
  }

  /** Show the tour as the service has it now. */
  function take(tour, etag) {
    const first = !lead.tour;
    [lead.tour, lead.etag] = [tour, etag];
    card.hidden = parts.hidden = false;
    title.textContent = tour.title;
    code.textContent = tour.code;
    there.textContent = tour.ended ? t("tour.ended") : t("tour.phones", { count: tour.phones });
    if (first) {
      keepLed({ token, title: tour.title, code: tour.code });
      qr.src = `api/join/${tour.code}/qr.svg?scheme=${location.protocol.slice(0, -1)}`;
      qr.alt = t("tour.qr_alt", { code: tour.code });
      qr.hidden = false;
    }
    if (view) view.refresh();
    else choose(tour.stops.length ? "lead" : "prepare");
  }

  /** Ask the service to do something to this tour; the fault is said where there is one. */
  async function request(path, how = {}) {
    try {
      const answer = await ask(page, `tours/mine${path}`, { token, ...how });
      write(fault, "");
      return answer;
    } catch (error) {
      write(fault, sentenceOf(page, error));
      fault.scrollIntoView({ block: "center" });
      if (error.tour) take(error.tour, `"${error.tour.version}"`);
      return null;
    }
  }

  function choose(name) {
    const moved = Boolean(chosen);
    chosen = name;
    view = VIEWS[name](lead);
    room.replaceChildren(view.element);
    for (const tab of tabs) setAttribute(tab, "aria-pressed", String(tab.dataset.view === name));
    view.refresh();
    if (moved) focusOn(room.querySelector("h3") ?? room);
  }

  return { section, refresh() {}, leave: watch.stop };
}

/** Return where a phone joins, as people type it. */
function joinAddress() {
  return `${location.host}${location.pathname}#/join`;
}
