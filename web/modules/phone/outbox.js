/** Photos that wait for the signal: kept on this phone until they are read or let go, and read when the signal is back. */

import { readPhoto } from "../page/reader.js";
import { photoToSend } from "../page/photo.js";
import { keep, letGo, recordsOf } from "./database.js";
import { hasSignal } from "./signal.js";

const STORE = "waiting";
/** The photo of the open label, put here only while the page loads anew with a new version. */
const SHOWN = "shown";
const RETRY_MS = 30_000;
/** A photo that could be sent but was not read is tried so often by itself; then the shopper decides. Judgement. */
const TRIES = 3;

/**
 * @typedef {object} Waiting
 * @property {string} id
 * @property {string} kept When it came here, an ISO time.
 * @property {ArrayBuffer} bytes Not a Blob: some browsers lose those.
 * @property {string} type
 * @property {boolean} ready Whether it is small enough to send as it is.
 * @property {boolean} [shared] Whether another app shared it, and it has not been shown yet.
 * @property {object} [panel] What was read on it.
 * @property {string} [fault] Why it can't be read, in the service's words.
 * @property {number} [tries]
 */

/** "change" after any change; "read" with the record as `detail` when one was read by itself. */
export class Outbox extends EventTarget {
  /** @type {Waiting[]} */
  records = [];
  /** The id of the photo that is being read by itself. */
  current = null;
  #stop = null;
  #look = () => {};
  #restsUntil = 0;

  /** Read again what is kept; a phone that keeps nothing has nothing waiting. */
  async load() {
    const all = await recordsOf(STORE).catch(() => []);
    this.records = all.filter(({ id }) => id !== SHOWN);
    this.#changed();
  }

  /**
   * Keep a photo until there is signal.
   *
   * @param {Blob} photo
   * @param {boolean} ready Whether it is small enough to send as it is.
   * @throws {import("./database.js").KeepError}
   */
  async add(photo, ready) {
    await keep(STORE, { bytes: await photo.arrayBuffer(), type: photo.type, ready });
    await this.load();
  }

  /** Change a record, unless it has been let go meanwhile. */
  async change(record, change) {
    const known = (await recordsOf(STORE)).find(({ id }) => id === record.id);
    if (known) await keep(STORE, { ...known, ...change });
    await this.load();
  }

  async letGo(record) {
    if (record.id === this.current) this.stop();
    await letGo(STORE, record.id);
    await this.load();
  }

  /** Stop reading by itself: the shopper wants something read now. */
  stop() {
    this.#stop?.abort();
  }

  /**
   * Read what waits when the signal is back: at once, when the page is looked at again, and every half minute.
   *
   * @param {() => string} lang
   * @param {() => boolean} isFree False while the shopper has a photo read.
   */
  tend(lang, isFree) {
    const look = () => document.visibilityState === "visible" && isFree() && this.readAll(lang());
    this.#look = look;
    window.addEventListener("online", look);
    window.addEventListener("pageshow", look);
    document.addEventListener("visibilitychange", look);
    setInterval(() => navigator.onLine && this.#next() && look(), RETRY_MS);
  }

  /** Leave a busy service alone for so many seconds, then look again. */
  rest(seconds) {
    this.#restsUntil = performance.now() + seconds * 1000;
    setTimeout(this.#look, seconds * 1000);
  }

  /** Read each photo that waits, one after another, as long as there is signal; in one tab at a time. */
  async readAll(lang) {
    await this.load();
    if (this.#stop || !this.#next() || performance.now() < this.#restsUntil) return;
    this.#stop = new AbortController();
    const { signal } = this.#stop;
    const work = async (lock) => {
      while (lock && this.#next() && !signal.aborted && (await hasSignal())) {
        if (!(await this.#readOne(this.#next(), lang, signal))) break;
      }
    };
    try {
      if (navigator.locks) await navigator.locks.request("shelfcheck.outbox", { ifAvailable: true }, work);
      else await work(true);
    } finally {
      this.#stop = null;
    }
  }

  /** Return whether the next one may be tried. */
  async #readOne(record, lang, signal) {
    this.current = record.id;
    this.#changed();
    let change = {};
    try {
      const photo = await sendable(record);
      const panel = await readPhoto(photo, lang, { signal, patience: 0 });
      change = { panel, bytes: await photo.arrayBuffer(), type: photo.type, ready: true };
    } catch (error) {
      if (error.wait) this.rest(error.wait);
      if (error.wait || error.code === "cancelled" || error.code === "offline") return false;
      change = error.passing === false ? { fault: error.message } : { tries: (record.tries ?? 0) + 1 };
    } finally {
      this.current = null;
      this.#changed();
    }
    await this.change(record, change);
    const read = this.records.find(({ id }) => id === record.id);
    if (read?.panel) this.dispatchEvent(new CustomEvent("read", { detail: read }));
    return true;
  }

  #next() {
    return this.records.find(isUnread);
  }

  #changed() {
    this.dispatchEvent(new Event("change"));
  }
}

/** Tell whether a photo still waits to be read by itself. */
export function isUnread({ panel, fault, tries = 0 }) {
  return !panel && !fault && tries < TRIES;
}

/** Return the photo of a record. */
export function photoOf({ bytes, type }) {
  return new Blob([bytes], { type });
}

/** Keep the photo of the open label while the page loads anew. */
export async function carryPhoto(photo) {
  await keep(STORE, { id: SHOWN, bytes: await photo.arrayBuffer(), type: photo.type });
}

/** Return the photo that was carried over, once, or null. */
export async function carriedPhoto() {
  const record = (await recordsOf(STORE).catch(() => [])).find(({ id }) => id === SHOWN);
  if (!record) return null;
  await letGo(STORE, SHOWN);
  return photoOf(record);
}

async function sendable(record) {
  return record.ready ? photoOf(record) : photoToSend(photoOf(record));
}
