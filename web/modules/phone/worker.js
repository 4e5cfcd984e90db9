/** The service worker as the page sees it: registered, asked for news, and replaced when the shopper agrees. */

/**
 * Register the service worker, where this browser has them: an address without https has none.
 *
 * @param {object} on
 * @param {(use: () => void) => void} on.ready A new version waits; `use` takes it.
 * @param {() => Promise<void>} on.leaving The page is about to load anew with it.
 */
export function keepShell(on) {
  const workers = navigator.serviceWorker;
  if (!workers) return;
  let known = Boolean(workers.controller);
  let leaving = false;
  workers.addEventListener("controllerchange", async () => {
    const first = !known;
    known = true;
    if (first || leaving) return; // the first worker brings what the page has already
    leaving = true;
    await on.leaving();
    location.reload();
  });
  workers.register(address(), { updateViaCache: "none" }).catch(() => {
    // Some private windows refuse: all but opening with no signal works there.
  });
  workers.ready.then((registration) => watch(registration, on.ready));
}

/** Return the worker's address in the form that a policy of trusted types asks for, where the browser knows such. */
function address() {
  const file = "sw.js";
  return globalThis.trustedTypes?.createPolicy("worker", { createScriptURL: () => file }).createScriptURL(file) ?? file;
}

function watch(registration, ready) {
  const tell = (worker) => {
    if (worker && navigator.serviceWorker.controller) ready(() => worker.postMessage("skip-waiting"));
  };
  const look = () => {
    if (document.visibilityState === "visible") registration.update().catch(() => {}); // no signal, no news
  };
  tell(registration.waiting);
  registration.addEventListener("updatefound", () => {
    const worker = registration.installing;
    worker.addEventListener("statechange", () => {
      if (worker.state === "installed") tell(worker);
    });
  });
  window.addEventListener("pageshow", look);
  document.addEventListener("visibilitychange", look);
}
