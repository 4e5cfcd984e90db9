/** What this phone keeps, in IndexedDB: the one place that knows its stores. */

import { openDB } from "../../vendor/idb.js";

const NAME = "shelfcheck";
const VERSION = 1;
/** `foods`: kept foods. `meal`: what is in the meal. `waiting`: photos that wait for the signal. */
export const STORES = ["foods", "meal", "waiting"];

let opened = null;

/** The phone refused to keep something: it is full, or its window is a private one. */
export class KeepError extends Error {
  constructor(cause) {
    super("this phone keeps nothing", { cause });
    this.name = "KeepError";
  }
}

/**
 * Return every record of a store, the oldest first.
 *
 * @param {"foods" | "meal" | "waiting"} store
 * @returns {Promise<object[]>} Each with `id` and `kept`, an ISO time.
 * @throws {KeepError}
 */
export async function recordsOf(store) {
  const records = await (await database()).getAll(store).catch(refused);
  return records.sort((a, b) => (a.kept < b.kept ? -1 : 1));
}

/**
 * Keep a record, new or changed, and return it with its `id` and `kept`.
 *
 * @throws {KeepError}
 */
export async function keep(store, record) {
  const whole = { id: crypto.randomUUID?.() ?? randomId(), kept: new Date().toISOString(), ...record };
  await (await database()).put(store, whole).catch(refused);
  return whole;
}

/** Let a record go. */
export async function letGo(store, id) {
  await (await database()).delete(store, id).catch(refused);
}

/** Let everything in these stores go. */
export async function empty(...stores) {
  const db = await database();
  await Promise.all(stores.map((store) => db.clear(store))).catch(refused);
}

function database() {
  opened ??= openDB(NAME, VERSION, {
    upgrade(db) {
      for (const store of STORES) db.createObjectStore(store, { keyPath: "id" });
    },
    blocking(_now, _next, event) {
      event.target.close(); // a newer page wants to change the stores
      opened = null;
    },
    terminated() {
      opened = null;
    },
  }).catch((error) => {
    opened = null;
    return refused(error);
  });
  return opened;
}

function refused(error) {
  throw new KeepError(error);
}

/** Return an id where the page is not served securely, so that `randomUUID` is missing. */
function randomId() {
  return Array.from(crypto.getRandomValues(new Uint32Array(4)), (part) => part.toString(16)).join("-");
}
