/** The first step: a photo to be read, or a label to be typed. */

import { button, drawing, el, write } from "./dom.js";
import { draftFromPanel, emptyDraft } from "./draft.js";
import { photoToSend } from "./photo.js";
import { ReadError, readPhoto } from "./reader.js";
import { step } from "./step.js";

/** Return the section where a label comes in. */
export function labelStep(page) {
  const { t, lang } = page.voice;
  const { store } = page;
  let stop = null;
  let reading = null;

  const take = photoButton("camera", t("label.take"), { capture: "environment" }, "primary");
  const choose = photoButton("picture", t("label.choose"));
  const type = button(t("label.type"), startTyping, { class: "choice" }, drawing("type", "sign"));
  const problem = el("p", { class: "problem", role: "alert", hidden: true });
  const seconds = el("span", { class: "seconds", "aria-hidden": "true" });
  const busy = el(
    "div",
    { class: "busy", hidden: true },
    el("p", { class: "busy-words", role: "status" }),
    seconds,
    el("div", { class: "busy-bar", "aria-hidden": "true" }),
    el(
      "div",
      { class: "actions" },
      button(t("label.cancel"), cancel, { class: "quiet" }),
      button(t("label.type_instead"), startTyping, { class: "quiet" }),
    ),
  );
  const ways = el(
    "div",
    { class: "ways" },
    el("p", { class: "hint", text: t("label.hint") }),
    problem,
    el("div", { class: "choices" }, take, choose, type),
    el("p", { class: "small", text: t("label.privacy") }),
  );
  const origin = el("p", { class: "origin" });
  const folded = el(
    "div",
    { class: "folded" },
    origin,
    button(t("over.start"), () => page.startOver(), { class: "quiet" }),
  );
  const section = step("label", 1, t("label.title"), folded, ways, busy);

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

  async function read(file) {
    cancel();
    if (!(await page.mayReplace())) return;
    const mine = (stop = new AbortController());
    reading = file;
    const ticking = begin();
    try {
      const photo = await photoToSend(file).catch(() => {
        throw new ReadError("not_a_picture");
      });
      const panel = await readPhoto(photo, lang, mine);
      if (mine !== stop) return;
      end();
      store.update({
        draft: draftFromPanel(page.facts, panel),
        photo,
        at: "check",
        opened: false,
        amount: null,
        food: "",
      });
      page.rebuild("check");
    } catch (error) {
      if (mine === stop) tell(error);
    } finally {
      clearInterval(ticking);
      if (mine === stop) end();
    }
  }

  function begin() {
    const start = Date.now();
    write(problem, "");
    [busy.hidden, ways.hidden] = [false, true];
    busy.firstChild.textContent = t("label.reading");
    seconds.textContent = "";
    return setInterval(() => {
      const count = Math.round((Date.now() - start) / 1000);
      seconds.textContent = t("label.seconds", { count });
    }, 1000);
  }

  function end() {
    [stop, reading] = [null, null];
    [busy.hidden, ways.hidden] = [true, false];
  }

  function tell(error) {
    if (!(error instanceof ReadError)) throw error;
    if (error.code === "cancelled") return;
    write(problem, error.message || t(`label.${error.code}`));
  }

  function cancel() {
    stop?.abort();
  }

  async function startTyping() {
    cancel();
    const typed = store.state.draft?.source === "typed";
    if (!typed && !(await page.mayReplace())) return;
    if (!typed) store.update({ draft: emptyDraft(), photo: null, opened: false, amount: null, food: "" });
    store.update({ at: "check" });
    page.rebuild("check");
  }

  function refresh() {
    const { draft, at } = store.state;
    section.classList.toggle("is-folded", Boolean(draft) && at !== "label");
    write(origin, draft ? t(draft.source === "photo" ? "label.from_photo" : "label.from_typing") : "");
  }

  /** Stop reading and return the photo, so that it can be read again in another language. */
  function interrupt() {
    const file = reading;
    cancel();
    return file;
  }

  return { section, refresh, interrupt, read };
}
