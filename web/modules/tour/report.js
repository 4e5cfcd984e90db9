/** The report: how many took part, each food's amounts, and how well hands measured before and after practice. */

import { button, el, write } from "../page/dom.js";
import { saveFile } from "../page/save_file.js";
import { nameOf } from "../page/ways.js";
import { ask, sentenceOf } from "./api.js";
import { groupView } from "./group.js";

const ROUNDS = ["before", "after"];
const COLUMNS = ["answers", "off", "within"];

/** Return the view with `refresh()`. */
export function reportView(lead) {
  const { page, token } = lead;
  const { t } = page.voice;
  const body = el("div", { class: "report" });
  const told = el("p", { class: "told", role: "status" });
  const element = el(
    "div",
    { class: "tour-stack" },
    el("h3", { tabindex: "-1", text: t("tour.view.report") }),
    body,
    el("div", { class: "actions" }, button(t("tour.csv"), save, { class: "quiet" }), button(t("act.print"), () => window.print(), { class: "quiet" })),
    told,
  );
  let seen = "";

  async function refresh() {
    if (seen === lead.etag) return;
    seen = lead.etag;
    const answer = await lead.request("/report");
    if (answer) draw(answer.data);
  }

  function draw({ phones, stops, practice, yardstick }) {
    body.replaceChildren(
      el("p", { text: t("tour.phones", { count: phones }) }),
      ...(practice.length ? [practiceTable(page, practice, yardstick)] : []),
      ...stops.map((stop) => el("div", { class: "tour-part" }, el("h4", { text: stop.name }), groupView(page, stop.group))),
    );
  }

  async function save() {
    try {
      const { blob } = await ask(page, "tours/mine/report.csv", { token });
      saveFile(blob, `${lead.tour.code}.csv`);
    } catch (error) {
      write(told, sentenceOf(page, error));
    }
  }

  return { element, refresh };
}

/** How far off each measure was, before and after. */
function practiceTable(page, practice, yardstick) {
  const { t, number } = page.voice;
  const cells = (told) => {
    if (!told) return ["–", "–", "–"];
    const { n, median_absolute_percent: off, within_percent: within } = told;
    return [number(n), `${number(off)} %`, `${number(within)} %`];
  };
  const rows = practice.map((one) =>
    ROUNDS.map((round, place) =>
      el(
        "tr",
        {},
        place === 0 && el("th", { scope: "rowgroup", rowspan: 2, text: nameOf(page, one.measure, 1) }),
        el("th", { scope: "row", text: t(`tour.${round}`) }),
        ...cells(one[round]).map((text, column) => el("td", { text, data: { head: t(`tour.table.${COLUMNS[column]}`) } })),
      ),
    ),
  );
  const heads = ["measure", "round", ...COLUMNS].map((key) => el("th", { scope: "col", text: t(`tour.table.${key}`) }));
  return el(
    "div",
    { class: "tour-part" },
    el("h4", { text: t("tour.practice") }),
    el("table", { class: "told-table report-table" }, el("thead", {}, el("tr", {}, ...heads)), ...rows.map((pair) => el("tbody", {}, ...pair))),
    ...practice
      .filter(({ paired }) => paired?.n)
      .map((one) => el("p", { text: t("tour.closer", { measure: nameOf(page, one.measure, 1), count: one.paired.closer, all: one.paired.n }) })),
    el("p", { class: "small", text: t("tour.yardstick", { share: number(yardstick.share_within_percent), within: number(yardstick.within_percent) }) }),
  );
}
