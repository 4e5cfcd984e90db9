/** Giving the person a file. */

import { el } from "./dom.js";

/** How long the browser may take to fetch what it saves, in milliseconds. Judgement. */
const KEPT = 10_000;

/** Save a blob under a name. */
export function saveFile(blob, name) {
  const href = URL.createObjectURL(blob);
  el("a", { href, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(href), KEPT);
}
