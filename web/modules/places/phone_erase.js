/** Everything that this app keeps on the phone, taken off it. */

import { empty, KeepError, STORES } from "../phone/database.js";

/** Delete kept foods, meal, photos, all that was typed, and the app's own copy; then load the page anew. */
export async function eraseAll() {
  await empty(...STORES).catch(unlessNothingIsKept);
  localStorage.clear();
  sessionStorage.clear();
  for (const name of (await globalThis.caches?.keys()) ?? []) await caches.delete(name);
  for (const worker of (await navigator.serviceWorker?.getRegistrations()) ?? []) await worker.unregister();
  history.replaceState(null, "", location.pathname);
  location.reload();
}

/** A phone that keeps nothing has nothing to delete; any other trouble is told. */
function unlessNothingIsKept(error) {
  if (!(error instanceof KeepError)) throw error;
}
