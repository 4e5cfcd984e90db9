/** A question that is a promise of an answer. */

import { button, el } from "./dom.js";

/**
 * Ask before something is lost; the button that keeps it is the one that stands out.
 *
 * @param {{question: string, yes: string, no: string}} words
 * @returns {Promise<boolean>} True when the person agrees; closing the question is a no.
 */
export function ask({ question, yes, no }) {
  return new Promise((resolve) => {
    const dialog = el(
      "dialog",
      { class: "question", "aria-labelledby": "question" },
      el("p", { id: "question", text: question }),
      el(
        "div",
        { class: "actions" },
        button(no, () => dialog.close("no"), { class: "primary", autofocus: true, data: { answer: "no" } }),
        button(yes, () => dialog.close("yes"), { class: "quiet", data: { answer: "yes" } }),
      ),
    );
    dialog.addEventListener("close", () => {
      dialog.remove();
      resolve(dialog.returnValue === "yes");
    });
    document.body.append(dialog);
    dialog.showModal();
  });
}
