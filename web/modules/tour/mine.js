/** The tours that this phone leads or has joined, and the answers that wait for a signal. They stay on this phone. */

const KEY = "shelfcheck.tours";

/**
 * @typedef {object} Mine
 * @property {{token: string, title: string, code: string}[]} led The newest first.
 * @property {Object<string, {phone: string, title: string, waiting: Object<string, object>}>} joined By code;
 *   `phone`: a random number for this one tour; `waiting`: bodies by path, which the service has not taken yet.
 */

/** Return what is kept. */
export function mine() {
  try {
    return { led: [], joined: {}, ...JSON.parse(localStorage.getItem(KEY)) };
  } catch {
    return { led: [], joined: {} };
  }
}

/** Keep a tour that this phone leads, in place of an older link to it. */
export function keepLed(tour) {
  const all = mine();
  save({ ...all, led: [tour, ...all.led.filter(({ token, code }) => token !== tour.token && code !== tour.code)] });
}

/** Forget a tour that this phone leads. */
export function forgetLed(token) {
  const all = mine();
  save({ ...all, led: all.led.filter((one) => one.token !== token) });
}

/** Return this phone's part in a tour, made where there is none yet. */
export function partIn(code) {
  return mine().joined[code] ?? change(code, {});
}

/** Change this phone's part in a tour, and return it. */
export function change(code, part) {
  const all = mine();
  const old = all.joined[code] ?? { phone: randomUuid(), title: "", waiting: {} };
  const joined = { ...all.joined, [code]: { ...old, ...part } };
  save({ ...all, joined });
  return joined[code];
}

/** Forget a tour that this phone has joined. */
export function forgetJoined(code) {
  const { [code]: _, ...joined } = mine().joined;
  save({ ...mine(), joined });
}

function save(all) {
  try {
    localStorage.setItem(KEY, JSON.stringify(all));
  } catch {
    // A private window or a full phone: the tour goes on while this page is open.
  }
}

/** Return a random UUID, also where the page is not served securely. */
function randomUuid() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}
