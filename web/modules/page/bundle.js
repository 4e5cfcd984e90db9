/** A bundle of long pasta at its true size; a coin tells how large this screen draws a millimetre. */

import { el } from "./dom.js";

/** A dime is 17.91 mm across (United States Mint, coin specifications, read in pages that quote them). */
const DIME_MM = 17.9;
/** CSS pixels to a millimetre: 96 to the inch on desks; some 160 on phones. From memory; the coin sets it right. */
const [DESK, PHONE] = [96 / 25.4, 160 / 25.4];

/** Return the ring with its slider. */
export function bundleRing(page) {
  const { t, number } = page.voice;
  const across = page.facts.measures.measures.find(({ id }) => id === "bundle").diameter_mm;
  const ring = el("span", { class: "ring", "aria-hidden": "true" });
  const slider = el("input", { type: "range", id: "ring", min: "2.5", max: "9", step: "0.05" });
  const words = { mm: number(across), dime: number(DIME_MM, 1) };
  const element = el(
    "div",
    { class: "bundle" },
    el("div", { class: "ring-box" }, ring),
    el(
      "div",
      {},
      el("p", { text: t("amount.bundle", words) }),
      el("label", { for: "ring", class: "small", text: t("amount.bundle_slider") }),
      slider,
    ),
  );
  slider.addEventListener("input", () => page.store.update({ ringScale: Number(slider.value) }));

  function refresh() {
    const phone = matchMedia("(pointer: coarse)").matches;
    const scale = page.store.state.ringScale ?? (phone ? PHONE : DESK);
    slider.value = scale;
    ring.style.width = ring.style.height = `${across * scale}px`;
  }

  return { element, refresh };
}
