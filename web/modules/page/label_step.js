/** The first step: a photo to be read, one that waits, or a label to be typed. */

import { photoOf } from "../phone/outbox.js";
import { busyPanel } from "./busy.js";
import { button, drawing, el, focusOn, write } from "./dom.js";
import { draftFromPanel, emptyDraft } from "./draft.js";
import { photoToSend } from "./photo.js";
import { goTo } from "./address.js";
import { ReadError, readPhoto } from "./reader.js";
import { step } from "./step.js";
import { waitingPhotos } from "./waiting.js";

/** Where the open label came from, by the draft's source. */
const ORIGINS = { photo: "label.from_photo", typed: "label.from_typing", kept: "label.from_kept" };

/** Return the section where a label comes in. */
export function labelStep(page) {
  const { t, lang } = page.voice;
  const { store, outbox } = page;
  let stop = null;
  let reading = null;
  let failed = null;

  const take = photoButton("camera", t("label.take"), { capture: "environment" }, "primary");
  const choose = photoButton("picture", t("label.choose"));
  const type = button(t("label.type"), () => startTyping(), { class: "choice" }, drawing("type", "sign"));
  const problem = el("p", { class: "problem", role: "alert", hidden: true });
  const again = button(t("label.again"), () => read(...failed), { class: "primary again", hidden: true });
  const busy = busyPanel(page.voice, { cancel: goBack, type: () => startTyping(...(reading ?? [])) });
  const waiting = waitingPhotos(page, {
    read: (record) => read(photoOf(record), record),
    open,
    type: (record) => startTyping(photoOf(record), record),
  });
  const ways = el(
    "div",
    { class: "ways" },
    el("p", { class: "hint", text: t("label.hint") }),
    problem,
    again,
    waiting.element,
    el("div", { class: "choices" }, take, choose, type),
    el("p", { class: "small", text: t("label.privacy") }),
    el(
      "p",
      { class: "place-foot" },
      el("a", { href: "#/tours", text: t("label.tours") }),
      el("a", { href: "#/privacy", text: t("phone.privacy") }),
    ),
  );
  const origin = el("p", { class: "origin" });
  const folded = el(
    "div",
    { class: "folded" },
    origin,
    button(t("over.start"), () => page.startOver(), { class: "quiet" }),
  );
  const section = step("label", 1, t("label.title"), folded, ways, busy.element);

  function photoButton(icon, words, props = {}, kind = "") {
    const input = el("input", { type: "file", accept: "image/*", class: "file", ...props });
    input.addEventListener("click", () => store.save()); // a phone may end this tab while its camera is open
    input.addEventListener("change", () => {
      const [file] = input.files;
      input.value = ""; // so that the same photo can be chosen again
      if (file) read(file);
    });
    return el(
      "label",
      { class: `choice ${kind}` },
      input,
      drawing(icon, "sign"),
      el("span", { text: words }),
    );
  }

  /** Read a photo in front of the shopper; `record` where it has waited. */
  async function read(file, record = null) {
    cancel();
    outbox.stop();
    if (!(await page.mayReplace())) return;
    const mine = (stop = new AbortController());
    reading = [file, record];
    begin();
    let photo = null;
    try {
      photo = record?.ready ? file : await photoToSend(file).catch(notAPicture);
      const panel = await readPhoto(photo, lang, { signal: mine.signal, tell: busy.show });
      if (mine !== stop) return;
      end();
      show(panel, photo, record);
    } catch (error) {
      if (!(error instanceof ReadError)) throw error;
      if (mine === stop) await tell(error, photo, record);
    } finally {
      if (mine === stop) end();
    }
  }

  function begin() {
    const pressed = ways.contains(document.activeElement);
    [failed, again.hidden, ways.hidden] = [null, true, true];
    write(problem, "");
    if (document.body.dataset.place !== "label") goTo("label");
    if (store.state.at !== "label") store.update({ at: "label" });
    busy.begin(pressed);
  }

  function end() {
    [stop, reading] = [null, null];
    busy.end();
    ways.hidden = false;
  }

  /** Say why a photo was not read; one that found no signal, or a service too busy for it, waits. */
  async function tell(error, photo, record) {
    const tried = reading;
    const busy = error.wait > 0;
    const waits = (busy || error.code === "offline") && (await canWait(photo, record));
    end();
    if (busy) outbox.rest(error.wait);
    if (waits) {
      focusOn(document.getElementById("waiting-title"));
      if (!busy) return;
      write(problem, t("label.still_busy"));
      return problem.scrollIntoView();
    }
    if (record && !error.passing) await outbox.change(record, { fault: error.message });
    write(problem, error.message || t(`label.${error.code}`));
    failed = error.passing ? tried : null;
    again.hidden = !failed;
    return (failed ? again : take.firstChild).focus({ preventScroll: true });
  }

  async function canWait(photo, record) {
    try {
      if (!record) await outbox.add(photo, true);
      return true;
    } catch {
      return false; // the phone keeps nothing, so the photo can only be tried again
    }
  }

  /** Stop reading, at once and without a word. */
  function cancel() {
    stop?.abort();
    if (stop) end();
  }

  function goBack() {
    cancel();
    take.firstChild.focus({ preventScroll: true });
  }

  /** Open the label of a photo that was read by itself. */
  async function open(record) {
    if (!(await page.mayReplace())) return;
    if (document.body.dataset.place !== "label") goTo("label");
    show(record.panel, photoOf(record), record);
  }

  function show(panel, photo, record) {
    start({ draft: draftFromPanel(page.facts, panel), photo });
    if (record) outbox.letGo(record);
  }

  /** Go on with the label that is being typed, or type one, its photo beside it where there is one. */
  async function startTyping(photo = null, record = null) {
    cancel(); // what was read is `photo` already
    const goOn = !photo && store.state.draft?.source === "typed";
    if (!goOn && !(await page.mayReplace())) return;
    start(goOn ? {} : { draft: emptyDraft(), photo });
    if (record) outbox.letGo(record);
  }

  /** Go to the check, with another label where one is given. */
  function start(label) {
    const anew = label.draft ? { opened: false, amount: null, food: "", keptId: null, name: "" } : {};
    store.update({ ...anew, ...label, at: "check" });
    page.rebuild("check");
  }

  function refresh() {
    const { draft, at } = store.state;
    section.classList.toggle("is-folded", Boolean(draft) && at !== "label");
    write(origin, draft ? t(ORIGINS[draft.source]) : "");
    waiting.refresh();
  }

  /** Stop reading and return the photo with its record, so that it can be read again in another language. */
  function interrupt() {
    const photo = reading;
    cancel();
    return photo;
  }

  return { section, refresh, interrupt, read, open, isReading: () => Boolean(reading) };
}

function notAPicture() {
  throw new ReadError("not_a_picture");
}
