/** The bar under the head that says what has changed around the page: the signal, a new version, a label that is read. */

import { button, el } from "./dom.js";

/**
 * @typedef {object} Notice
 * @property {string} words
 * @property {[string, () => void][]} actions The words of each button, and what it does besides closing the notice.
 */

/** Return the bar; `#notice` is a live region from the start, so what comes into it is read out. */
export function noticeBar(page) {
  const bar = document.getElementById("notice");
  const notices = new Map();

  /** Show a notice, or show it anew; `build` gives it in the language of now. */
  function show(key, build) {
    notices.set(key, build);
    draw();
  }

  function drop(key) {
    if (notices.delete(key)) draw();
  }

  function draw() {
    bar.lang = page.voice.lang;
    bar.replaceChildren(...[...notices].map(([key, build]) => line(key, build(page.voice.t))));
  }

  function line(key, { words, actions }) {
    const buttons = actions.map(([label, act]) => {
      const press = () => {
        drop(key);
        act();
      };
      return button(label, press, { class: "notice-button" });
    });
    return el(
      "div",
      { class: "notice-line", data: { notice: key } },
      el("p", { text: words }),
      el("div", { class: "actions" }, ...buttons),
    );
  }

  /** Say everything in the language of now. */
  function refresh() {
    if (bar.lang !== page.voice.lang) draw();
  }

  return { show, drop, refresh };
}
