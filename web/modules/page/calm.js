/** What can wait until the first screen stands, so that a weak signal brings that first. */

/** How long the first screen has the signal for itself, in milliseconds. Judgement. */
const CALM = 1000;

/** Do something once the page is there and has had a moment. */
export function whenCalm(act) {
  const soon = () => setTimeout(act, CALM);
  if (document.readyState === "complete") soon();
  else window.addEventListener("load", soon, { once: true });
}
