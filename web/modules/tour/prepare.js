/** Preparing: the tour's title and plan, its foods with their questions, and what can be done with the whole. */

import { ask } from "../page/confirm.js";
import { button, el, fold, labelled, write } from "../page/dom.js";
import { numberFrom } from "../page/fields.js";
import { nearest } from "../page/first_amount.js";
import { LANGUAGE_NAMES } from "../page/language.js";
import { hand } from "../page/share_text.js";
import { lineOf, titleOf } from "../places/frame.js";
import { recordsOf } from "../phone/database.js";
import { measureSelect } from "./measure_select.js";
import { forgetLed, keepLed } from "./mine.js";

/** Plans that are not saved yet, by the token of their tour; they last as long as the page is open. */
const unsaved = new Map();

/** Return the view with `refresh()`. */
export function prepareView(lead) {
  const { page, tour, token } = lead;
  const { t } = page.voice;
  const plan = unsaved.get(token) ?? JSON.parse(JSON.stringify(tour));
  const told = el("p", { class: "told", role: "status" });
  const notSaved = el("p", { class: "doubt", text: t("tour.unsaved"), hidden: true });
  const title = input("plan-title", plan.title, (text) => (plan.title = text));
  const carbs = input("plan-carbs", plan.meal_carbohydrate_g ?? "", (text) => (plan.meal_carbohydrate_g = numberFrom(text)), { inputmode: "decimal", class: "short" });
  const day = input("plan-day", plan.held_on ?? "", (text) => (plan.held_on = text || null), { type: "date", class: "short" });
  const lang = el("select", { id: "plan-lang", on: { change: () => (plan.lang = lang.value) } }, ...Object.entries(LANGUAGE_NAMES).map(([value, [, text]]) => el("option", { value, text })));
  lang.value = plan.lang;
  const show = el("input", { type: "checkbox", id: "plan-show", on: { change: () => (plan.show_plan = show.checked) } });
  show.checked = plan.show_plan;
  const stops = el("ol", { class: "plan-stops" });
  const kept = el("div", { class: "plan-kept" });
  const element = el(
    "div",
    { class: "prepare" },
    el("h3", { tabindex: "-1", text: t("tour.view.prepare") }),
    labelled(t("tour.title_field"), title),
    labelled(t("tour.day"), day),
    labelled(t("tour.language"), lang),
    labelled(t("tour.plan_field"), carbs),
    el("label", { class: "box left" }, show, el("span", { text: t("tour.plan_show") })),
    el("h4", { text: t("tour.stops") }),
    stops,
    fold(t("tour.add"), el("p", { class: "small", text: t("tour.add_hint") }), kept, el("a", { class: "tour-link", href: "#/label", text: t("kept.read_one") })),
    notSaved,
    told,
    button(t("tour.save"), save, { class: "primary wide" }),
    el(
      "div",
      { class: "actions" },
      button(t("tour.own_link"), ownLink, { class: "quiet" }),
      button(t("tour.copy"), copy, { class: "quiet" }),
      button(t("tour.print_card"), () => window.print(), { class: "quiet" }),
      button(t("tour.renew"), renew, { class: "quiet" }),
      button(t("tour.end"), end, { class: "quiet" }),
      button(t("tour.delete"), remove, { class: "quiet remove" }),
    ),
    el("p", { class: "small", text: t("tour.kept_until", { date: plan.kept_until }) }),
  );
  for (const kind of ["input", "change", "click"]) element.addEventListener(kind, note);
  drawStops();
  drawKept();
  note();

  /** Remember what differs from the service's own plan, whatever view or place comes next. */
  function note() {
    const differs = JSON.stringify(bodyOf(plan)) !== JSON.stringify(bodyOf(lead.tour));
    if (differs) unsaved.set(token, plan);
    else unsaved.delete(token);
    notSaved.hidden = !differs;
  }

  function drawStops() {
    stops.replaceChildren(...plan.stops.map((stop, place) => stopForm(stop, place)));
  }

  function stopForm(stop, place) {
    const id = `stop-${place}`;
    const measure = measureSelect(page, stop.panel, `${id}-measure`, (chosen) => (stop.measure = chosen));
    measure.value = stop.measure;
    const move = (way) => {
      plan.stops.splice(place, 1);
      plan.stops.splice(place + way, 0, stop);
      drawStops();
    };
    return el(
      "li",
      { class: "plan-stop" },
      el("p", { class: "small", text: lineOf(page, stop) }),
      labelled(t("kept.name"), input(`${id}-name`, stop.name, (text) => (stop.name = text))),
      labelled(t("tour.question"), input(`${id}-question`, stop.question, (text) => (stop.question = text))),
      labelled(t("compare.measure"), measure),
      el(
        "div",
        { class: "actions" },
        place > 0 && button(t("tour.up"), () => move(-1), { class: "quiet", "aria-label": t("tour.up_of", { name: stop.name }) }),
        place < plan.stops.length - 1 && button(t("tour.down"), () => move(1), { class: "quiet", "aria-label": t("tour.down_of", { name: stop.name }) }),
        button(t("meal.remove"), () => (plan.stops.splice(place, 1), drawStops()), { class: "quiet", "aria-label": t("meal.remove_of", { name: stop.name }) }),
      ),
    );
  }

  async function drawKept() {
    const foods = (await recordsOf("foods").catch(() => [])).reverse();
    const add = ({ name, panel, food, amount }) => {
      const measure = amount?.measure ?? nearest(page, panel)[0] ?? "fist";
      plan.stops.push({ name: titleOf(page, { name }), question: "", measure, food: food || null, panel });
      drawStops();
      write(told, t("tour.added", { name: titleOf(page, { name }) }));
    };
    const buttons = foods.map((food) => button(titleOf(page, food), () => add(food), { class: "quiet" }));
    kept.replaceChildren(...(foods.length ? buttons : [el("p", { text: t("tour.none_kept") })]));
  }

  async function save() {
    const answer = await lead.request("", { method: "PUT", body: bodyOf(plan), etag: lead.etag });
    if (!answer) return write(told, t("tour.not_saved"));
    lead.take(answer.data, answer.etag);
    plan.stops = JSON.parse(JSON.stringify(answer.data.stops));
    drawStops();
    note();
    keepLed({ token: lead.token, title: answer.data.title, code: answer.data.code });
    return write(told, t("tour.saved"));
  }

  /** Hand the link to her other phone or screen: it is the only key to the tour. */
  async function ownLink() {
    write(told, await hand(page, plan.title, location.href));
  }

  async function copy() {
    open(await lead.request("/copy", { method: "POST", body: {} }));
  }

  function open(answer) {
    if (!answer) return;
    keepLed({ token: answer.data.token, title: answer.data.tour.title, code: answer.data.code });
    location.hash = `/lead/${answer.data.token}`;
  }

  async function renew() {
    if (!(await ask({ question: t("tour.renew_question"), yes: t("tour.renew"), no: t("phone.no") }))) return;
    const answer = await lead.request("/link", { method: "POST", body: {} });
    if (!answer) return;
    forgetLed(lead.token);
    open({ data: { token: answer.data.token, code: lead.tour.code, tour: lead.tour } });
  }

  async function end() {
    if (!(await ask({ question: t("tour.end_question"), yes: t("tour.end"), no: t("tour.go_on") }))) return;
    const answer = await lead.request("/end", { method: "POST", body: {} });
    if (!answer) return;
    lead.take(answer.data, answer.etag);
    write(told, t("tour.ended"));
  }

  async function remove() {
    if (!(await ask({ question: t("tour.delete_question"), yes: t("tour.delete"), no: t("phone.no") }))) return;
    if (!(await lead.request("", { method: "DELETE" }))) return;
    forgetLed(lead.token);
    location.hash = "/tours";
  }

  return { element, refresh() {} };
}

/** Return what the service takes. */
function bodyOf({ title, lang, held_on, meal_carbohydrate_g, show_plan, stops }) {
  return { title, lang, held_on, meal_carbohydrate_g, show_plan, stops: stops.map(asPlanned) };
}

function asPlanned({ id, name, question, measure, food, panel }) {
  const { doubts: _, ...rest } = panel;
  return { ...(id && { id }), name, question, measure, food, panel: rest };
}

function input(id, value, act, props = {}) {
  const one = el("input", { type: "text", id, autocomplete: "off", ...props, on: { input: () => act(one.value) } });
  one.value = value;
  return one;
}
