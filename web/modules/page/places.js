/** The places of the app beside the label's own steps, each built when it is first visited, and the tabs that lead there. */

import { readAddress, writeStep } from "./address.js";
import { drawing, el, focusOn, setAttribute } from "./dom.js";

/** Each place by the word in its address, `#/kept`; the label's steps have none of these. */
const PLACES = {
  label: null,
  kept: () => import("../places/kept.js"),
  compare: () => import("../places/compare.js"),
  meal: () => import("../places/meal.js"),
  hands: () => import("../places/hands.js"),
  phone: () => import("../places/phone.js"),
  privacy: () => import("../privacy/place.js"),
  tours: () => import("../tour/start.js"),
  lead: () => import("../tour/lead.js"),
  join: () => import("../tour/join.js"),
};
/** Places of which there are many: what stands behind the name in the address tells which. */
const MANY = ["lead", "join"];
const TABS = ["label", "kept", "compare", "meal", "hands"];
/** A place that could not be had is asked for again after so long. Judgement. */
const RETRY_MS = 3000;

/**
 * Put the tabs on the page and show the place of the address.
 *
 * A place's module has `place(page, part)`, which returns, or promises, `{section, refresh, reveal, leave}`; its heading
 * is `#place-title`; `reveal(part)`, where there is one, brings a part of it into view, and `leave()` ends what goes on.
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
  window.onhashchange = () => readAddress(location.hash) && show(true);
  show(false);

  function tab(name) {
    return el(
      "a",
      { href: `#/${name}`, data: { place: name } },
      drawing(`tab_${name}`, "sign"),
      el("span", { text: t(`place.${name}`) }),
    );
  }

  async function show(moved) {
    const { name, part, step } = known(readAddress(location.hash));
    const away = name !== "label";
    document.body.dataset.place = name;
    [flow.hidden, room.hidden] = [away, !away];
    for (const [other, link] of tabs) setAttribute(link, "aria-current", other === name && "page");
    if (!away) comeTo(moved ? step : null);
    const which = MANY.includes(name) ? `${name}/${part}` : name;
    if (which !== shown) await enter(which, name, part);
    if (!moved) return;
    if (part && current?.reveal) current.reveal(part);
    else focusOn(document.getElementById(away ? "place-title" : `${page.store.state.at}-title`));
  }

  /** Come to a step by its address; one that cannot be shown yet gives way to where the shopper is. */
  function comeTo(step) {
    const { draft, opened } = page.store.state;
    const open = step === "label" || (step === "check" ? draft : step === "amount" && opened);
    if (open && step !== page.store.state.at) page.store.update({ at: step });
    writeStep(page.store.state.at);
  }

  async function enter(which, name, part) {
    shown = which;
    leave();
    room.replaceChildren();
    if (!PLACES[name]) return;
    const built = await PLACES[name]()
      .then(({ place }) => place(page, part))
      .catch((error) => unloaded(which, error));
    if (shown !== which) return built.leave?.(); // the shopper has gone on meanwhile
    current = built;
    room.replaceChildren(built.section);
  }

  /** Say that a place cannot be had; it is tried again with the signal, and whenever the shopper comes. */
  function unloaded(which, error) {
    if (shown === which) {
      shown = null;
      room.replaceChildren(...document.getElementById("unloaded").cloneNode(true).children);
      const again = () => shown ?? show(false);
      window.addEventListener("online", again, { once: true });
      setTimeout(() => navigator.onLine && again(), RETRY_MS); // the signal may be told before it is there
    }
    throw error;
  }

  function refresh() {
    if (document.body.dataset.place === "label") writeStep(page.store.state.at, { anew: true });
    current?.refresh();
  }

  /** End what the place of now does by itself. */
  function leave() {
    current?.leave?.();
    current = null;
  }

  return { refresh, leave };
}

/** Return the address, or that of the label where it names no place. */
function known(address) {
  return address && address.name in PLACES ? address : { name: "label", part: "", step: null };
}
