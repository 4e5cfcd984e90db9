/** Group tours: join one by its code, make one, or see a sample; and those that this phone knows. */

import { button, el, labelled, write } from "../page/dom.js";
import { privacyLink } from "../places/foot.js";
import { placeSection } from "../places/frame.js";
import { ask, sentenceOf } from "./api.js";
import { keepLed, mine } from "./mine.js";
import { furnish } from "../page/rooms.js";

/** Return the place. */
export async function place(page) {
  await furnish(page, "tours");
  const { t, lang } = page.voice;
  const fault = el("p", { class: "problem", role: "alert", hidden: true });
  const code = field("tour-code", t("tour.code"), { autocapitalize: "none", enterkeyhint: "go", maxlength: 20 });
  const title = field("tour-title", t("tour.title_field"), { maxlength: 80 });
  const join = form(code, t("tour.join"), () => {
    const wanted = plain(code.input.value);
    if (!wanted) return write(fault, t("tour.code_missing"));
    location.hash = `/join/${wanted}`;
  });
  const make = form(title, t("tour.make"), () => {
    const name = title.input.value.trim();
    if (!name) return write(fault, t("tour.title_missing"));
    return begin("tours", { title: name, lang });
  });
  const sample = button(t("tour.sample"), () => begin("tours/sample", { lang }), { class: "quiet" });
  const section = placeSection(
    { id: "tours", title: t("tour.start"), hint: t("tour.start_hint") },
    fault,
    part(t("tour.join_title"), join),
    known(t("tour.joined"), Object.entries(mine().joined).map(([one, { title: name }]) => [`#/join/${one}`, name || one])),
    part(t("tour.lead_title"), el("p", { class: "hint", text: t("tour.lead_hint") }), make, sample),
    known(t("tour.led"), mine().led.map(({ token, title: name }) => [`#/lead/${token}`, name])),
    el("p", { class: "small", text: t("tour.privacy") }),
    privacyLink(page),
  );

  async function begin(path, body) {
    write(fault, "");
    try {
      const { data } = await ask(page, path, { method: "POST", body });
      keepLed({ token: data.token, title: data.tour.title, code: data.code });
      location.hash = `/lead/${data.token}`;
    } catch (error) {
      write(fault, sentenceOf(page, error));
    }
  }

  return { section, refresh() {} };
}

/** Return a code as the service knows it, however it was typed. */
export function plain(code) {
  return code.toLowerCase().replace(/[^a-z]/g, "");
}

function field(id, words, props) {
  const input = el("input", { type: "text", id, autocomplete: "off", ...props });
  return { input, element: labelled(words, input) };
}

function form({ element }, words, act) {
  const submit = (event) => {
    event.preventDefault();
    act();
  };
  return el("form", { class: "tour-form", novalidate: true, on: { submit } }, element, el("button", { type: "submit", class: "primary" }, el("span", { text: words })));
}

function part(title, ...body) {
  return el("div", { class: "tour-part" }, el("h3", { text: title }), ...body);
}

function known(title, links) {
  if (!links.length) return false;
  const items = links.map(([href, text]) => el("li", {}, el("a", { class: "tour-link", href, text })));
  return part(title, el("ul", { class: "tour-links" }, ...items));
}
