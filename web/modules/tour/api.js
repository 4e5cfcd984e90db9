/** Asking the service about tours. */

import { waitAsked } from "../phone/patience.js";
import { HANG_MS } from "../phone/signal.js";

/**
 * The service refuses, or cannot be reached ("offline"); `message` is a sentence in the reader's language, `wait` in how
 * many seconds a busy service may be asked again.
 */
export class TourError extends Error {
  constructor(code, message = "", { fields = {}, status = 0, tour = null, wait = 0 } = {}) {
    super(message);
    Object.assign(this, { name: "TourError", code, fields, status, tour, wait });
  }

  /** Whether the same request may be taken later. */
  get passing() {
    return this.status === 0 || this.status >= 500 || this.status === 429;
  }
}

/**
 * Ask the service.
 *
 * @param {object} page
 * @param {string} path Under `api/`.
 * @param {{method?: string, body?: object, token?: string, etag?: string}} [how] `etag`: the version that is known.
 * @returns {Promise<{data: object | null, etag: string, blob?: Blob}>} `data` null where nothing has changed.
 * @throws {TourError}
 */
export async function ask(page, path, { method = "GET", body, token, etag } = {}) {
  const headers = {
    ...(body && { "Content-Type": "application/json" }),
    ...(token && { Authorization: `Bearer ${token}` }),
    ...(etag && { [method === "GET" ? "If-None-Match" : "If-Match"]: etag }),
  };
  const response = await reach(`api/${path}${path.includes("?") ? "&" : "?"}lang=${page.voice.lang}`, {
    method,
    headers,
    body: body && JSON.stringify(body),
    cache: "no-store",
    signal: AbortSignal.timeout(2 * HANG_MS),
  });
  const known = response.headers.get("ETag") ?? "";
  if (response.status === 304 || response.status === 204) return { data: null, etag: known };
  if (response.ok && !isJson(response)) return { data: null, etag: known, blob: await response.blob() };
  const data = isJson(response) ? await response.json() : {};
  if (response.ok) return { data, etag: known };
  const wait = waitAsked(response.status, (name) => response.headers.get(name));
  const { code = wait ? "busy" : "failed", message = "", fields = {} } = data.error ?? {};
  throw new TourError(code, message, { fields, status: response.status, tour: data.tour ?? null, wait });
}

async function reach(url, how) {
  try {
    return await fetch(url, how);
  } catch {
    throw new TourError("offline");
  }
}

function isJson(response) {
  return (response.headers.get("Content-Type") ?? "").includes("json");
}

/** Return what to say of an error. */
export function sentenceOf(page, error) {
  if (!(error instanceof TourError)) throw error;
  const said = Object.values(error.fields);
  return said.join(" ") || error.message || page.voice.t(`tour.${["offline", "busy"].includes(error.code) ? error.code : "failed"}`);
}
