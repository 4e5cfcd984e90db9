/** A phone in the group: each food's guess, the real numbers after the reveal, practice, and the sheet. No name is asked. */

import { button, el, putInOrder, write } from "../page/dom.js";
import { placeSection } from "../places/frame.js";
import { ask, sentenceOf } from "./api.js";
import { guessCard } from "./guess.js";
import { live } from "./live.js";
import { change, forgetJoined, partIn } from "./mine.js";
import { practiceView } from "./practise.js";
import { flush } from "./send.js";
import { sheet } from "./sheet.js";
import { plain, place as start } from "./start.js";
import { furnish } from "../page/rooms.js";

/** Return the place of the tour with this code. */
export async function place(page, typed) {
  await furnish(page, "tours");
  const { t } = page.voice;
  const code = plain(typed);
  if (!code) return start(page);
  const fault = el("p", { class: "problem", role: "status", hidden: true });
  const waiting = el("p", { class: "hint", role: "status" });
  const list = el("ol", { class: "stops" });
  const again = el("a", { class: "tour-link", href: "#/tours", text: t("tour.code_again"), hidden: true });
  const practice = practiceView(page, code, () => watch.now());
  const paper = el("div", { class: "sheet printed-only" });
  const print = button(t("tour.print_sheet"), () => window.print(), { class: "quiet" });
  const acts = el("div", { class: "actions" }, print);
  const head = { id: "join", title: t("tour.start"), hint: t("tour.no_name") };
  const section = placeSection(head, fault, again, waiting, list, practice.element, acts, paper);
  const title = section.querySelector("#place-title");
  const part = partIn(code);
  const cards = new Map();
  let [tour, etag] = [null, ""];
  const watch = live(look, tell);
  await watch.now();
  return { section, refresh, leave: watch.stop };

  /** Send what waits, then see what is new; what this phone said before is asked for once. */
  async function look() {
    if (!tour) await comeIn();
    await flush(page, code, heard);
    const { data, etag: now } = await ask(page, `join/${code}`, { etag });
    if (data) [tour, etag] = [data, now];
    if (data) show();
  }

  async function comeIn() {
    await ask(page, `join/${code}/phone`, { method: "PUT", body: { phone: part.phone } });
    const { data } = await ask(page, `join/${code}/mine?phone=${part.phone}`);
    for (const { stop, guess } of data.guesses) remember(stop, guess);
    practice.remember(data.practice);
  }

  function heard(path, answer, refusal) {
    const [, stop] = /^stops\/(\d+)\/guess$/.exec(path) ?? [];
    if (answer && stop) remember(Number(stop), answer.guess);
    if (stop) cards.get(Number(stop))?.heard(refusal && sentenceOf(page, refusal));
    else practice.heard(path, answer, refusal && sentenceOf(page, refusal));
  }

  function remember(stop, guess) {
    change(code, { said: { ...partIn(code).said, [stop]: guess } });
  }

  function tell(error) {
    const gone = error?.status === 404;
    if (gone && !tour) forgetJoined(code);
    again.hidden = !gone;
    practice.element.hidden = acts.hidden = gone && !tour;
    if (gone) write(waiting, "");
    write(fault, !error ? "" : gone && tour ? t("tour.over") : sentenceOf(page, error));
    for (const card of cards.values()) card.refresh(gone);
  }

  function show() {
    title.textContent = tour.title;
    title.lang = tour.lang;
    change(code, { title: tour.title });
    const seen = tour.stops.filter(({ state, panel }) => state !== "waiting" && panel);
    write(waiting, seen.some(({ state }) => state === "open") ? "" : t("tour.wait"));
    const shown = seen.reverse().map((stop) => {
      const card = cards.get(stop.id) ?? guessCard(page, code, stop, () => watch.now());
      cards.set(stop.id, card);
      card.show(stop, tour);
      return card.element;
    });
    putInOrder(list, shown);
    paper.replaceChildren(sheet(page, tour, seen.filter(({ state }) => state !== "open").reverse()));
  }

  function refresh() {
    practice.refresh();
  }
}
