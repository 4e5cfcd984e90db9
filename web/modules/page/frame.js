/** Around the steps: the head with the language, the list of steps, and the columns. */

import { el, focusOn, setAttribute } from "./dom.js";
import { LANGUAGE_NAMES } from "./language.js";

/** Where a person can go, and the state that shows it. */
const STOPS = { label: "label", check: "check", amount: "amount", numbers: "amount" };

/** Put the steps on the page and return what keeps the frame up to date. */
export function frame(page, steps, guide) {
  const { t, lang } = page.voice;
  const { store } = page;
  document.documentElement.lang = lang;
  document.title = t("title");
  document.getElementById("skip").textContent = t("skip");
  document.getElementById("tagline").textContent = t("tagline");
  showLanguages(document.getElementById("languages"));
  const items = new Map(Object.keys(STOPS).map((stop, place) => [stop, navItem(stop, place + 1)]));
  const nav = document.getElementById("steps");
  nav.setAttribute("aria-label", t("steps"));
  nav.replaceChildren(el("ol", {}, ...[...items.values()].map(({ element }) => element)));
  const photo =
    page.photoUrl && el("img", { class: "beside", alt: t("check.photo_alt"), src: page.photoUrl });
  document
    .getElementById("flow")
    .replaceChildren(
      el("div", { class: "column left" }, steps.label.section, steps.check.section),
      el("div", { class: "column right" }, photo || "", guide, steps.amount.section, steps.numbers.section),
    );

  function showLanguages(group) {
    const choices = Object.entries(LANGUAGE_NAMES).map(([code, [short, name]]) =>
      el("button", {
        type: "button",
        id: `speak-${code}`,
        lang: code,
        text: short,
        "aria-label": `${short}, ${name}`,
        "aria-pressed": String(code === lang),
        on: { click: () => page.speak(code) },
      }),
    );
    group.setAttribute("aria-label", t("language"));
    group.replaceChildren(...choices);
  }

  function navItem(stop, number) {
    const go = (event) => {
      event.preventDefault();
      if (link.ariaDisabled === "true") return;
      store.update({ at: STOPS[stop] });
      focusOn(document.getElementById(`${stop}-title`));
    };
    const link = el(
      "a",
      { href: `#${stop}`, on: { click: go } },
      el("span", { class: "tag", text: number }),
      el("span", { text: t(`step.${stop}`) }),
    );
    return { element: el("li", {}, link), link };
  }

  function refresh() {
    const { at, draft, opened } = store.state;
    document.body.dataset.at = at;
    document.body.classList.toggle("has-draft", Boolean(draft));
    document.body.classList.toggle("has-numbers", opened);
    for (const [stop, { link }] of items) {
      const reachable = stop === "label" || (stop === "check" ? Boolean(draft) : opened);
      setAttribute(link, "href", reachable && `#${stop}`);
      setAttribute(link, "aria-disabled", !reachable && "true");
      setAttribute(link, "aria-current", stop === at && "step");
    }
  }

  return { refresh };
}
