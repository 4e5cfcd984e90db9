/** Sending the photo to be read. */

import { HANG_MS, hasSignal } from "../phone/signal.js";

/** So long the service may take after the last of the photo has gone out. */
const SLOW_MS = 30_000;
/** A busy service is asked so often, and waited for at most so long each time. Judgement. */
const TRIES = 4;
const LONGEST_WAIT = 30;

/** Why a photo was not read: `message` is the service's own sentence, or empty where it could not answer. */
export class ReadError extends Error {
  /**
   * @param {string} code "cancelled", "slow", "offline", "failed", or the service's own code.
   * @param {string} message
   * @param {number} wait Seconds after which the service asks to be tried again; 0 where it does not.
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
 * @returns {Promise<object>} The panel's JSON.
 * @throws {ReadError}
 */
export async function readPhoto(photo, lang, { signal, tell = () => {} }) {
  const bytes = await photo.arrayBuffer().catch(() => {
    throw new ReadError("failed"); // the file is gone
  });
  const type = photo.type || "application/octet-stream";
  for (let tries = 1; ; tries += 1) {
    try {
      return await send({ bytes, type, lang, signal, tell });
    } catch (error) {
      if (!error.wait || error.wait > LONGEST_WAIT || tries === TRIES) throw error;
      tell({ name: "busy", seconds: error.wait });
      await pause(error.wait * 1000, signal);
    }
  }
}

/** Send once. An upload that goes on is never cut; one that stands still is, when the service is silent too. */
function send({ bytes, type, lang, signal, tell }) {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest(); // fetch does not tell how much has gone out
    let sent = 0;
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
      while (!over) {
        const before = sent;
        const heard = await hasSignal();
        if (!heard && sent === before) end("offline");
        await new Promise((wake) => setTimeout(wake, HANG_MS));
      }
    }

    request.upload.addEventListener("progress", ({ loaded, total }) => {
      sent = loaded;
      clearTimeout(limit);
      limit = setTimeout(() => end("slow"), SLOW_MS);
      if (!over) tell({ name: "sending", share: total ? loaded / total : 0 });
    });
    request.upload.addEventListener("load", () => over || tell({ name: "reading" }));
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
  let answer = {};
  try {
    answer = JSON.parse(request.responseText);
  } catch {
    return reject(new ReadError("failed")); // something between the phone and the service has answered
  }
  if (request.status === 200) return resolve(answer);
  const wait = request.status === 503 ? Number(request.getResponseHeader("Retry-After")) || 0 : 0;
  return reject(new ReadError(answer.error?.code ?? "failed", answer.error?.message, wait));
}

function pause(milliseconds, signal) {
  return new Promise((resolve, reject) => {
    const cancel = () => reject(new ReadError("cancelled"));
    if (signal.aborted) return cancel();
    signal.addEventListener("abort", cancel, { once: true });
    setTimeout(resolve, milliseconds);
  });
}
