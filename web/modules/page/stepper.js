/** The big one-handed stepper: less, how many, more. */

import { asFraction } from "../numbers.js";
import { drawing, el, write } from "./dom.js";
import { numberFrom } from "./fields.js";

export const MOST = 999;
/** So long after a refusal, in milliseconds, a press still belongs to the typing. Judgement. */
const JUST = 500;
/** Holding a button down: the wait before it repeats and the pace, in milliseconds. */
const [WAIT, PACE] = [450, 110];

/**
 * Return the stepper.
 *
 * @param {object} page
 * @param {(count: number) => void} onCount
 * @param {string} id Of the field, where there are several steppers.
 * @returns {{element: HTMLElement, input: HTMLInputElement, hasJustRefused: () => boolean,
 *   show: (count: number, step: number, name: string) => void}}
 */
export function stepper(page, onCount, id = "count") {
  const { t } = page.voice;
  let [now, stride] = [1, 1];
  let refused = 0;
  const name = el("span", { class: "count-name", id: `${id}-name` });
  const fault = el("p", { class: "fault", role: "alert", hidden: true });
  const input = el("input", {
    id,
    type: "text",
    inputmode: "decimal",
    autocomplete: "off",
    "aria-label": t("amount.count"),
    "aria-describedby": `${id}-name`,
  });
  input.addEventListener("change", type);
  input.addEventListener("keydown", (event) => {
    const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
    if (way) event.preventDefault();
    if (way) move(way);
    if (event.key === "Enter") type();
  });
  const element = el(
    "div",
    { class: "stepper" },
    press("minus", t("amount.less"), -1),
    el("div", { class: "count" }, input, name),
    press("plus", t("amount.more"), 1),
    fault,
  );

  /** Go to the next whole step up or down, so that 2/3 becomes 1 and not 1 1/6. */
  function move(way) {
    const steps = way > 0 ? Math.floor(now / stride + 1e-6) + 1 : Math.ceil(now / stride - 1e-6) - 1;
    const next = Math.min(MOST, steps * stride);
    write(fault, "");
    if (next > 0) onCount(Math.round(next * 1e6) / 1e6);
  }

  function type() {
    const count = numberFrom(input.value);
    const sound = typeof count === "number" && count > 0 && count <= MOST;
    write(fault, sound ? "" : t("amount.bad_count", { most: MOST }));
    refused = sound ? 0 : Date.now();
    if (sound) onCount(count);
    else show(now, stride, name.textContent);
  }

  function press(icon, words, way) {
    const button = el(
      "button",
      { type: "button", class: "press", "aria-label": words },
      drawing(icon, "sign"),
    );
    let repeating = null;
    const stop = () => {
      clearTimeout(repeating);
      repeating = null;
    };
    const repeat = (wait) => {
      repeating = setTimeout(() => {
        move(way);
        repeat(PACE);
      }, wait);
    };
    button.addEventListener("pointerdown", () => repeat(WAIT));
    for (const event of ["pointerup", "pointerleave", "pointercancel", "blur"])
      button.addEventListener(event, stop);
    button.addEventListener("contextmenu", (event) => event.preventDefault());
    button.addEventListener("click", () => move(way));
    return button;
  }

  function show(count, step, words) {
    [now, stride] = [count, step];
    input.value = asFraction(count);
    name.textContent = words;
  }

  /** Tell whether what was typed was refused just now: the press that ended the typing is no answer then. */
  const hasJustRefused = () => Date.now() - refused < JUST;
  return { element, input, show, hasJustRefused };
}
