/** Leading: one food after the other is opened for the guess, and its answers are shown. */

import { button, el, putInOrder, write } from "../page/dom.js";
import { lineOf } from "../places/frame.js";
import { groupView } from "./group.js";

/** What can be done with a food in each state: the next state, and the key of its words. */
const NEXT = {
  waiting: [["open", "open"]],
  open: [
    ["revealed", "reveal"],
    ["waiting", "take_back"],
  ],
  revealed: [["closed", "close"]],
  closed: [["revealed", "show_again"]],
};

/** Return the view with `refresh()`. */
export function leadStops(lead) {
  const { page } = lead;
  const { t } = page.voice;
  const list = el("ol", { class: "stops" });
  const none = el("p", { class: "hint", text: t("tour.no_stops") });
  const element = el("div", { class: "tour-stack" }, el("h3", { tabindex: "-1", text: t("tour.view.lead") }), none, list);
  const cards = new Map();

  function refresh() {
    const { stops } = lead.tour;
    none.hidden = stops.length > 0;
    const shown = stops.map((stop) => {
      const card = cards.get(stop.id) ?? stopCard(lead, stop.id);
      cards.set(stop.id, card);
      card.show(stop);
      return card.element;
    });
    putInOrder(list, shown);
  }

  return { element, refresh };
}

function stopCard(lead, id) {
  const { page } = lead;
  const { t } = page.voice;
  const name = el("h4");
  const question = el("p", { class: "stop-question" });
  const line = el("p", { class: "small" });
  const state = el("p", { class: "stop-state", role: "status" });
  const acts = el("div", { class: "actions" });
  const group = el("div");
  const element = el("li", { class: "stop", data: { stop: id } }, name, question, line, state, acts, group);
  let drawn = "";

  async function set(next) {
    const answer = await lead.request(`/stops/${id}/state`, { method: "POST", body: { state: next } });
    if (answer) lead.take(answer.data, answer.etag);
  }

  function show(stop) {
    element.dataset.state = stop.state;
    name.textContent = stop.name;
    write(question, stop.question);
    line.textContent = lineOf(page, stop);
    state.textContent = t(`tour.state.${stop.state}`, { count: stop.answered, phones: lead.tour.phones });
    const now = JSON.stringify([stop.state, stop.group]);
    if (now === drawn) return;
    if (JSON.parse(drawn || "[]")[0] !== stop.state) {
      const buttons = NEXT[stop.state].map(([next, words], place) => button(t(`tour.do.${words}`), () => set(next), { class: place ? "quiet" : "primary" }));
      acts.replaceChildren(...buttons);
    }
    drawn = now;
    group.replaceChildren(...(stop.group ? [groupView(page, stop.group)] : []));
  }

  return { element, show };
}
