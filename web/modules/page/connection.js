/** What comes to the open page from outside: the signal, a new version, shared photos, labels read by themselves. */

import { carriedPhoto, carryPhoto, photoOf } from "../phone/outbox.js";
import { hasSignal } from "../phone/signal.js";
import { keepShell } from "../phone/worker.js";
import { whenCalm } from "./calm.js";
import { noticeBar } from "./notice.js";

/** Under this name the page before this one says that everything was deleted. */
export const ERASED = "shelfcheck.erased";
/** Where answers to a group tour wait (tour/mine.js); without one that waits, nothing of tours is loaded. */
const ANSWERS = "shelfcheck.tours";
const loadAnswers = () => import("../tour/send.js");
const nothing = () => {};

/** Listen to it all for as long as the page is open; return what says it again in another language. */
export function connect(page) {
  const { outbox, store } = page;
  const notice = noticeBar(page);

  window.addEventListener("offline", tellSignal);
  window.addEventListener("online", tellSignal);
  window.addEventListener("online", sendAnswers);
  outbox.addEventListener("change", () => {
    page.steps.label.refresh();
    if (!outbox.records.some(({ panel }) => panel)) notice.drop("read"); // opened, or let go, in the list
  });
  outbox.addEventListener("read", ({ detail }) => offer(detail));
  whenCalm(() => keepShell({ ready: tellUpdate, leaving }));
  start();

  async function start() {
    tellSignal();
    tellErased();
    sendAnswers();
    const photo = await carriedPhoto();
    if (photo && store.state.draft && !store.state.photo) {
      store.state.photo = photo;
      page.rebuild();
    }
    await outbox.load();
    await takeShared();
    outbox.tend(
      () => page.voice.lang,
      () => !page.steps.label.isReading(),
    );
    await outbox.readAll(page.voice.lang);
  }

  async function tellSignal() {
    if (navigator.onLine || (await hasSignal())) return notice.drop("offline");
    return notice.show("offline", (t) => ({
      words: t("offline.now"),
      actions: [[t("offline.seen"), nothing]],
    }));
  }

  async function sendAnswers() {
    if (!/"waiting":\{"/.test(localStorage.getItem(ANSWERS) ?? "")) return;
    const { flushAll } = await loadAnswers();
    const wait = await flushAll(page);
    if (wait) setTimeout(sendAnswers, wait * 1000);
  }

  function tellErased() {
    if (!sessionStorage.getItem(ERASED)) return;
    sessionStorage.removeItem(ERASED);
    notice.show("erased", (t) => ({ words: t("phone.erased"), actions: [[t("offline.seen"), nothing]] }));
  }

  function tellUpdate(use) {
    notice.show("update", (t) => ({
      words: t("update.ready"),
      actions: [
        [t("update.use"), use],
        [t("update.later"), nothing],
      ],
    }));
  }

  /** Keep what only this tab holds, before it loads anew. */
  async function leaving() {
    const { photo } = store.state;
    const [file, record] = page.steps.label.interrupt() ?? [];
    try {
      if (photo) await carryPhoto(photo);
      if (file && !record) await outbox.add(file, false);
    } catch {
      // The phone keeps nothing; what was typed is kept all the same.
    }
    store.save();
  }

  /** Take up what another app shared: its photo is read at once, and an empty share is told. */
  async function takeShared() {
    const arrived = new URLSearchParams(location.search).get("shared");
    if (arrived === null) return;
    history.replaceState(null, "", `./${location.hash}`); // so that loading again does not share again
    const record = outbox.records.filter(({ shared }) => shared).at(-1);
    if (arrived === "1" && record) {
      await outbox.change(record, { shared: false });
      await page.steps.label.read(photoOf(record), record);
      return;
    }
    notice.show("shared", (t) => ({
      words: t("waiting.not_arrived"),
      actions: [[t("offline.seen"), nothing]],
    }));
  }

  /** Open a label that was read by itself, unless the shopper is at something else: then offer it. */
  function offer(record) {
    if (isIdle(page)) return page.steps.label.open(record);
    return notice.show("read", (t) => ({
      words: t("waiting.offer"),
      actions: [
        [t("waiting.open"), () => page.steps.label.open(record)],
        [t("update.later"), nothing],
      ],
    }));
  }

  return { refresh: notice.refresh };
}

function isIdle(page) {
  const elsewhere = document.body.dataset.place !== "label" || document.querySelector("dialog[open]");
  return !page.store.state.draft && !elsewhere && !page.steps.label.isReading();
}
