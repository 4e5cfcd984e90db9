/**
 * The service worker: keeps the shell on the phone so that the app opens with no signal, and takes photos that other
 * apps share. `precache.js` names the shell's files with their hashes; a changed file makes a new version, which waits
 * until the page says "skip-waiting". The API is never touched.
 */

importScripts("precache.js");

const PREFIX = "shell-";
const CACHE = `${PREFIX}${self.SHELL.version}`;
const LIST = "shell-list";
const HOME = new URL("./", self.registration.scope).href;
const SHARE = new URL("share", HOME).href;
const KEPT = new Set(self.SHELL.files.map(([url]) => new URL(url, HOME).href));
/** What few visitors need is kept when it is first asked for. */
const ON_USE = new Map(self.SHELL.onUse.map(([url, hash]) => [new URL(url, HOME).href, hash]));
/** The same database as in modules/phone/database.js, which is a module and can't be had from here. */
const DATABASE = { name: "shelfcheck", version: 1, stores: ["foods", "meal", "waiting"] };

self.addEventListener("install", (event) => event.waitUntil(install()));

self.addEventListener("activate", (event) => event.waitUntil(activate()));

self.addEventListener("message", ({ data }) => {
  if (data === "skip-waiting") self.skipWaiting();
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = bare(request.url);
  if (request.method === "POST" && address === SHARE) event.respondWith(takeShared(request));
  else if (request.method === "GET" && KEPT.has(address)) event.respondWith(fromShell(address, request));
  else if (request.method === "GET" && ON_USE.has(address)) event.respondWith(keptOnUse(address, request));
});

/** Fill this version's cache; what did not change since an earlier version is not fetched again. */
async function install() {
  const cache = await caches.open(CACHE);
  const earlier = await earlierFiles();
  await Promise.all(
    self.SHELL.files.map(async ([url, hash]) => {
      if (await cache.match(url)) return; // an install that broke off goes on where it was
      await cache.put(url, (await earlier(url, hash)) ?? (await fetched(url, hash)));
    }),
  );
  await bringAlong(cache, earlier);
  await cache.put(LIST, Response.json([...self.SHELL.files, ...self.SHELL.onUse]));
}

/** Take along what was kept on use; what has changed since is fetched when it is asked for. */
async function bringAlong(cache, earlier) {
  for (const [url, hash] of self.SHELL.onUse) {
    const file = await earlier(url, hash);
    if (file) await cache.put(url, file);
  }
}

async function activate() {
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith(PREFIX) && name !== CACHE);
  await Promise.all(old.map((name) => caches.delete(name)));
  await self.clients.claim();
}

/** Return a function that gives a file out of an earlier version's cache, where its hash is the same. */
async function earlierFiles() {
  const names = await caches.keys();
  const kept = new Map();
  for (const name of names.filter((one) => one.startsWith(PREFIX) && one !== CACHE)) {
    const cache = await caches.open(name);
    const list = await cache.match(LIST);
    for (const [url, hash] of list ? await list.json() : []) kept.set(`${url} ${hash}`, cache);
  }
  return (url, hash) => kept.get(`${url} ${hash}`)?.match(url);
}

/** Fetch a file past every cache; what a hotel's sign-in page or a half-done release answers is not taken. */
async function fetched(url, hash) {
  const response = await fetch(url, { cache: "reload" });
  const found = response.ok && (await hashOf(await response.clone().arrayBuffer()));
  if (found !== hash) throw new Error(`${url} is not the file that precache.js names`);
  return response;
}

async function hashOf(bytes) {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(digest.subarray(0, 8), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

async function fromShell(address, request) {
  const cache = await caches.open(CACHE);
  return (await cache.match(address)) ?? fetch(request);
}

async function keptOnUse(address, request) {
  const cache = await caches.open(CACHE);
  const known = await cache.match(address);
  if (known) return known;
  const response = await fetched(address, ON_USE.get(address)).catch(() => null);
  if (!response) return fetch(request); // another version's file, or none: the page sees what there is
  await cache.put(address, response.clone());
  return response;
}

/** Put shared photos where the page finds them; a share without a photo changes nothing. */
async function takeShared(request) {
  let arrived = 0;
  try {
    const shared = (await request.formData()).getAll("photo");
    const photos = shared.filter((one) => one instanceof File && one.size && one.type.startsWith("image/"));
    const records = await Promise.all(photos.map(recordOf));
    if (records.length) await keepWaiting(records);
    arrived = records.length;
  } catch {
    // Not a form, or the phone keeps nothing: the page says that the photo did not arrive.
  }
  return Response.redirect(`${HOME}?shared=${arrived ? 1 : 0}`, 303);
}

async function recordOf(photo) {
  const bytes = await photo.arrayBuffer(); // not the file itself: some browsers can't store one
  const kept = new Date().toISOString();
  return { id: crypto.randomUUID(), kept, bytes, type: photo.type, ready: false, shared: true };
}

function keepWaiting(records) {
  return new Promise((resolve, reject) => {
    const opening = indexedDB.open(DATABASE.name, DATABASE.version);
    opening.onupgradeneeded = () => {
      for (const store of DATABASE.stores) opening.result.createObjectStore(store, { keyPath: "id" });
    };
    opening.onerror = () => reject(opening.error);
    opening.onsuccess = () => {
      const database = opening.result;
      const change = database.transaction("waiting", "readwrite");
      for (const record of records) change.objectStore("waiting").put(record);
      change.onabort = () => reject(change.error);
      change.oncomplete = resolve;
      database.close(); // once the change is done
    };
  });
}

/** Return an address without what comes after "?" or "#"; the page under its file's name is the page itself. */
function bare(url) {
  const { origin, pathname } = new URL(url);
  return `${origin}${pathname}`.replace(/\/index\.html$/, "/");
}
