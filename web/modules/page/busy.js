/** What is shown while a photo goes out and is read: how far it is, and the ways out. */

import { button, el } from "./dom.js";

/**
 * Return the panel, hidden until `begin`.
 *
 * @param {object} voice
 * @param {{cancel: () => void, type: () => void}} ways
 */
export function busyPanel({ t }, { cancel, type }) {
  const words = el("p", { class: "busy-words", role: "status" });
  const figure = el("span", { class: "seconds", "aria-hidden": "true" });
  const bar = el("div", { class: "busy-bar", "aria-hidden": "true" });
  const out = button(t("label.cancel"), cancel, { class: "quiet" });
  const element = el(
    "div",
    { class: "busy", hidden: true },
    words,
    figure,
    bar,
    el("div", { class: "actions" }, out, button(t("label.type_instead"), type, { class: "quiet" })),
  );
  let ticking = null;
  let began = 0;

  /** Show the panel; `pressed` when what was pressed is hidden now, so that the focus needs a place. */
  function begin(pressed) {
    began = Date.now();
    element.hidden = false;
    show({ name: "sending", share: 0 });
    clearInterval(ticking);
    ticking = setInterval(count, 1000);
    if (pressed) out.focus({ preventScroll: true });
  }

  /** Show a stage of `readPhoto`. */
  function show({ name, share = 0, seconds = 0 }) {
    const said = t(`label.${name}`, { count: seconds });
    if (words.textContent !== said) words.textContent = said; // a live region: said once
    element.dataset.stage = name;
    bar.style.setProperty("--sent", share);
    figure.textContent = share ? `${Math.round(share * 100)} %` : "";
    count();
  }

  function count() {
    if (element.dataset.stage !== "reading") return;
    figure.textContent = t("label.seconds", { count: Math.round((Date.now() - began) / 1000) });
  }

  function end() {
    clearInterval(ticking);
    element.hidden = true;
  }

  return { element, begin, show, end };
}
