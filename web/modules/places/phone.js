/** This phone: what it keeps and what leaves it, the language, the cautions, and a way to delete it all. */

import { ask } from "../page/confirm.js";
import { button, el } from "../page/dom.js";
import { LANGUAGE_NAMES } from "../page/language.js";
import { empty, KeepError, STORES } from "../phone/database.js";
import { LANGUAGES } from "../words.js";
import { ERASED } from "../page/connection.js";
import { cautionList, placeSection } from "./frame.js";
import { privacyLink } from "./foot.js";
import { keptList, safety } from "./phone_storage.js";

/** Return the place. */
export async function place(page) {
  const { t, lang } = page.voice;
  const kept = keptList(page);
  const safe = safety(page);
  const version = el("p", { class: "small", hidden: true });
  const section = placeSection(
    { id: "phone", title: t("phone.title"), hint: t("phone.hint") },
    part(t("phone.kept"), kept.element, safe.element),
    part(t("language"), el("div", { class: "actions" }, ...LANGUAGES.map(speaker))),
    part(t("phone.sent_title"), el("p", { text: t("label.privacy") }), privacyLink(page)),
    part(t("phone.cautions"), cautionList(page, "insights")),
    part(
      t("phone.delete_title"),
      el("p", { text: t("phone.delete_hint") }),
      button(t("phone.delete"), askAndErase, { class: "choice erase" }),
    ),
    version,
  );

  function speaker(code) {
    const [, name] = LANGUAGE_NAMES[code];
    return button(name, () => page.speak(code), { class: "choice spoken", lang: code, "aria-pressed": String(code === lang) });
  }

  async function askAndErase() {
    const words = { question: t("phone.question"), yes: t("phone.yes"), no: t("phone.no") };
    if (await ask(words)) await eraseAll();
  }

  function refresh() {
    return Promise.all([kept.refresh(), safe.refresh()]);
  }

  await refresh();
  showVersion(page, version); // not waited for: without a signal nothing answers
  return { section, refresh };
}

function part(title, ...body) {
  return el("div", { class: "phone-part" }, el("h3", { text: title }), ...body);
}

/** Say which version answers, where there is a signal. */
async function showVersion(page, element) {
  if (!navigator.onLine) return;
  try {
    const { version } = await (await fetch("api/health")).json();
    if (!version) return;
    element.textContent = page.voice.t("phone.version", { version });
    element.hidden = false;
  } catch {
    // No signal: the version is not worth a word of trouble.
  }
}

/** Delete kept foods, meal, photos, all that was typed, and the app's own copy; then load the page anew. */
async function eraseAll() {
  await empty(...STORES).catch(unlessNothingIsKept);
  localStorage.clear();
  sessionStorage.clear();
  for (const name of (await globalThis.caches?.keys()) ?? []) await caches.delete(name);
  for (const worker of (await navigator.serviceWorker?.getRegistrations()) ?? []) await worker.unregister();
  sessionStorage.setItem(ERASED, "yes");
  history.replaceState(null, "", location.pathname);
  location.reload();
}

/** A phone that keeps nothing has nothing to delete; any other trouble is told. */
function unlessNothingIsKept(error) {
  if (!(error instanceof KeepError)) throw error;
}
