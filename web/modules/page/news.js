/** A sentence on what was just done, with a button that takes it back where it can be taken back. */

import { button, el } from "./dom.js";

/** Return a bar of news: `say(text)`, or `say(text, undo)` with a button that takes it back. */
export function news(page) {
  const words = el("p", { role: "status" });
  const element = el("div", { class: "news" }, words);
  let back = null;

  function say(text, undo = null) {
    back?.remove();
    back = null;
    words.textContent = text;
    element.classList.toggle("is-told", Boolean(text));
    if (!undo) return;
    back = button(
      page.voice.t("kept.undo"),
      async () => {
        say("");
        await undo();
      },
      { class: "quiet" },
    );
    element.append(back);
  }

  return { element, say };
}
