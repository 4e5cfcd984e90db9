/** Sending the photo to be read. */

const SECONDS = 30;

/** Why a photo was not read: `message` is the service's own sentence, or empty where it could not answer. */
export class ReadError extends Error {
  /**
   * @param {string} code "cancelled", "slow", "offline", "failed", or the service's own code.
   * @param {string} message
   */
  constructor(code, message = "") {
    super(message);
    this.name = "ReadError";
    this.code = code;
  }
}

/**
 * Return the panel that the service reads on `photo`.
 *
 * @param {Blob} photo
 * @param {string} lang
 * @param {AbortController} stop Aborting it cancels.
 * @returns {Promise<object>} The panel's JSON.
 * @throws {ReadError}
 */
export async function readPhoto(photo, lang, stop) {
  let slow = false;
  const limit = setTimeout(() => {
    slow = true;
    stop.abort();
  }, SECONDS * 1000);
  try {
    const response = await fetch(`api/panels/read?lang=${lang}`, {
      method: "POST",
      headers: { "Content-Type": photo.type || "application/octet-stream" },
      body: photo,
      signal: stop.signal,
    });
    const answer = await response.json();
    if (response.ok) return answer;
    throw new ReadError(answer.error?.code ?? "failed", answer.error?.message);
  } catch (error) {
    if (error instanceof ReadError) throw error;
    if (stop.signal.aborted) throw new ReadError(slow ? "slow" : "cancelled");
    throw new ReadError(error instanceof SyntaxError ? "failed" : "offline");
  } finally {
    clearTimeout(limit);
  }
}
