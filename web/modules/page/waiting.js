/** The photos that wait, in the label step: each with its picture, how it stands, and what can be done about it. */

import { isUnread, photoOf } from "../phone/outbox.js";
import { ask } from "./confirm.js";
import { button, el, focusOn, write } from "./dom.js";

/**
 * Return the list; it hides itself when nothing waits.
 *
 * @param {object} page
 * @param {{read: Function, open: Function, type: Function}} act What each button does with a record.
 */
export function waitingPhotos(page, act) {
  const { t } = page.voice;
  const { outbox } = page;
  const title = el("h3", { id: "waiting-title", tabindex: "-1" });
  const hint = el("p", { class: "small" });
  const list = el("ul", { class: "waiting-list" });
  const element = el(
    "section",
    { class: "waiting", "aria-labelledby": "waiting-title", hidden: true },
    title,
    hint,
    list,
  );
  let shown = "";
  let addresses = [];

  /** Draw the list anew where something has changed; it is asked at every press of the stepper. */
  function refresh() {
    const now = outbox.records.map((record) => `${record.id} ${stateOf(record)}`).join();
    if (now === shown) return;
    const held = list.contains(document.activeElement);
    shown = now;
    const unread = outbox.records.filter(isUnread).length;
    element.hidden = !outbox.records.length;
    write(title, t(unread ? "waiting.title" : "waiting.kept", { count: unread }));
    write(hint, unread ? t("waiting.hint") : "");
    addresses.forEach((address) => URL.revokeObjectURL(address));
    addresses = outbox.records.map((record) => URL.createObjectURL(photoOf(record)));
    list.replaceChildren(...outbox.records.map((record, place) => item(record, addresses[place])));
    if (held) title.focus({ preventScroll: true });
  }

  function item(record, address) {
    const time = page.voice.time(new Date(record.kept));
    const first = record.panel
      ? button(t("waiting.open"), () => act.open(record), { class: "primary" })
      : button(t("waiting.read"), () => act.read(record), { class: "quiet" });
    return el(
      "li",
      {},
      el("img", { src: address, alt: t("waiting.alt", { time }), width: 72, height: 96 }),
      el("p", { class: "waiting-state" }, el("b", { text: stateOf(record) }), el("span", { text: time })),
      el(
        "div",
        { class: "actions" },
        first,
        !record.panel && button(t("label.type_instead"), () => act.type(record), { class: "quiet" }),
        button(t("waiting.let_go"), () => letGo(record), { class: "quiet" }),
      ),
    );
  }

  function stateOf(record) {
    if (record.panel) return t("waiting.done");
    if (record.fault) return record.fault;
    if (record.id === outbox.current) return t("label.reading");
    return t(isUnread(record) ? "waiting.waits" : "waiting.tried");
  }

  async function letGo(record) {
    const words = { question: t("waiting.question"), yes: t("waiting.let_go"), no: t("over.no") };
    if (!(await ask(words))) return;
    await outbox.letGo(record);
    focusOn(outbox.records.length ? title : document.getElementById("label-title"));
  }

  return { element, refresh };
}
