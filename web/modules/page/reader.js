/** Sending the photo to be read. */

import { waitAsked } from "../phone/patience.js";
import { HANG_MS, hasSignal } from "../phone/signal.js";

/** So long the service may take after the last of the photo has gone out. */
const SLOW_MS = 30_000;
/** A busy service is waited for so long in all, counted from its first such answer. Judgement. */
const PATIENCE_MS = 60_000;

/** Why a photo was not read: `message` is the service's own sentence, or empty where it could not answer. */
export class ReadError extends Error {
  /**
   * @param {string} code "cancelled", "slow", "offline", "busy", "failed", or the service's own code.
   * @param {string} message
   * @param {number} wait Seconds after which a busy service may be tried again; 0 where it is not busy.
   */
  constructor(code, message = "", wait = 0) {
    super(message);
    this.name = "ReadError";
    this.code = code;
    this.wait = wait;
  }

  /** Whether the same photo may be read another time; else the service has looked at it and said no. */
  get passing() {
    return ["cancelled", "slow", "offline", "failed", "busy", "unexpected"].includes(this.code);
  }
}

/**
 * @typedef {object} Stage
 * @property {"sending" | "reading" | "busy"} name
 * @property {number} [share] How much of the photo has gone out, 0 to 1, while sending.
 * @property {number} [seconds] How long the wait is, while busy.
 */

/**
 * Return the panel that the service reads on `photo`.
 *
 * @param {Blob} photo
 * @param {string} lang
 * @param {object} more
 * @param {AbortSignal} more.signal Cancels.
 * @param {(stage: Stage) => void} [more.tell] Hears how far it is.
 * @param {number} [more.patience] How many milliseconds a busy service is waited for in all.
 * @returns {Promise<object>} The panel's JSON.
 * @throws {ReadError}
 */
export async function readPhoto(photo, lang, { signal, tell = () => {}, patience = PATIENCE_MS }) {
  const bytes = await photo.arrayBuffer().catch(() => {
    throw new ReadError("failed"); // the file is gone
  });
  const type = photo.type || "application/octet-stream";
  let end = null;
  for (;;) {
    try {
      return await send({ bytes, type, lang, signal, tell });
    } catch (error) {
      const now = performance.now();
      end ??= now + patience;
      if (!error.wait || now + error.wait * 1000 > end) throw error;
      tell({ name: "busy", seconds: Math.round(error.wait) });
      await pause(error.wait * 1000, signal);
    }
  }
}

/**
 * Send once. An upload that goes on is never cut; one that stands still is, when the service is silent too. Once all of
 * it is out, the service may be silent for one look longer: it may have its hands full.
 */
function send({ bytes, type, lang, signal, tell }) {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest(); // fetch does not tell how much has gone out
    let sent = 0;
    let out = false;
    let over = false;
    let limit = setTimeout(() => end("slow"), SLOW_MS);

    function end(code) {
      if (over) return;
      settle(() => reject(new ReadError(code)));
      request.abort();
    }

    function settle(act) {
      over = true;
      clearTimeout(limit);
      signal.removeEventListener("abort", cancel);
      act();
    }

    function cancel() {
      end("cancelled");
    }

    async function listen() {
      for (let silent = 0; !over; ) {
        const before = sent;
        const heard = await hasSignal();
        silent = heard || sent !== before ? 0 : silent + 1;
        if (silent > (out ? 1 : 0)) end("offline");
        await new Promise((wake) => setTimeout(wake, HANG_MS));
      }
    }

    request.upload.addEventListener("progress", ({ loaded, total }) => {
      sent = loaded;
      clearTimeout(limit);
      limit = setTimeout(() => end("slow"), SLOW_MS);
      if (!over) tell({ name: "sending", share: total ? loaded / total : 0 });
    });
    request.upload.addEventListener("load", () => {
      out = true;
      if (!over) tell({ name: "reading" });
    });
    request.addEventListener("error", () => end("offline"));
    request.addEventListener("load", () => over || settle(() => answered(request, resolve, reject)));
    signal.addEventListener("abort", cancel);
    if (signal.aborted) return cancel();
    tell({ name: "sending", share: 0 });
    request.open("POST", `api/panels/read?lang=${lang}`);
    request.setRequestHeader("Content-Type", type);
    request.send(bytes);
    listen();
  });
}

function answered(request, resolve, reject) {
  const wait = waitAsked(request.status, (name) => request.getResponseHeader(name));
  let answer = null;
  try {
    answer = JSON.parse(request.responseText);
  } catch {
    // Something between the phone and the service has answered.
  }
  if (request.status === 200 && answer) return resolve(answer);
  const { code = "failed", message } = answer?.error ?? {};
  return reject(new ReadError(wait ? "busy" : code, message, wait));
}

function pause(milliseconds, signal) {
  return new Promise((resolve, reject) => {
    const cancel = () => reject(new ReadError("cancelled"));
    if (signal.aborted) return cancel();
    signal.addEventListener("abort", cancel, { once: true });
    setTimeout(resolve, milliseconds);
  });
}
