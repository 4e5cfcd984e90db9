/** The places of the app beside the label's own steps, each built when it is first visited, and the tabs that lead there. */

import { drawing, el, focusOn, setAttribute } from "./dom.js";

/** Each place by the word in its address, `#/kept`; the label's steps are the place without one. */
const PLACES = {
  label: null,
  kept: () => import("../places/kept.js"),
  compare: () => import("../places/compare.js"),
  meal: () => import("../places/meal.js"),
  hands: () => import("../places/hands.js"),
  phone: () => import("../places/phone.js"),
};
const TABS = ["label", "kept", "compare", "meal", "hands"];

/**
 * Put the tabs on the page and show the place of the address.
 *
 * A place's module has `place(page)`, which returns, or promises, `{section, refresh}`; its heading is `#place-title`.
 */
export function places(page) {
  const { t } = page.voice;
  const flow = document.getElementById("flow");
  const room = document.getElementById("place");
  const tabs = new Map(TABS.map((name) => [name, tab(name)]));
  const nav = document.getElementById("places");
  nav.setAttribute("aria-label", t("places"));
  nav.replaceChildren(el("ul", {}, ...[...tabs.values()].map((link) => el("li", {}, link))));
  let shown = null;
  let current = null;
  window.onhashchange = () => isPlace(location.hash) && show(true);
  show(false);

  function tab(name) {
    return el(
      "a",
      { href: name === "label" ? "#" : `#/${name}`, data: { place: name } },
      drawing(`tab_${name}`, "sign"),
      el("span", { text: t(`place.${name}`) }),
    );
  }

  async function show(moved) {
    const name = placeOf(location.hash);
    const away = name !== "label";
    document.body.dataset.place = name;
    [flow.hidden, room.hidden] = [away, !away];
    for (const [other, link] of tabs) setAttribute(link, "aria-current", other === name && "page");
    if (name !== shown) await enter(name);
    if (moved) focusOn(document.getElementById(away ? "place-title" : `${page.store.state.at}-title`));
  }

  async function enter(name) {
    shown = name;
    current = null;
    room.replaceChildren();
    if (!PLACES[name]) return;
    const { place } = await PLACES[name]();
    const built = await place(page);
    if (shown !== name) return; // the shopper has gone on meanwhile
    current = built;
    room.replaceChildren(built.section);
  }

  function refresh() {
    current?.refresh();
  }

  return { refresh };
}

/** Go to a place from anywhere. */
export function goTo(name) {
  location.hash = name === "label" ? "" : `/${name}`;
}

/** Tell an address of a place from the skip link's and the steps'. */
function isPlace(hash) {
  return hash === "" || hash.startsWith("#/");
}

function placeOf(hash) {
  const name = hash.match(/^#\/(\w+)/)?.[1];
  return name in PLACES ? name : "label";
}
