/** My hands: the fist measured once, what follows from it, and each measure by itself; all stay on this phone. */

import { measures } from "../measures.js";
import { stepAddress } from "../page/address.js";
import { button, drawing, el, focusOn, fold } from "../page/dom.js";
import { footLink } from "./foot.js";
import { placeSection } from "./frame.js";
import { handList } from "./hands_list.js";
import { FIST, following, handsWith, sayIn, sizeIn, spreadWords } from "./hands_sizes.js";
import { fistWays } from "./hands_ways.js";

const EDUCATOR = ["water", "heap", "group"];

/** Return the place. */
export function place(page) {
  const { t } = page.voice;
  const { store } = page;
  const head = el("h3", { class: "fist-head", tabindex: "-1" });
  const size = el("p", { class: "fist-size" });
  const sure = el("p", { class: "small" });
  const everywhere = el("p", { class: "fist-everywhere" }, drawing("tick", "sign"), t("hands.everywhere"));
  const reset = button(t("hands.reset_fist"), () => keep(handsWith(store.state.hands, FIST)), {
    class: "quiet",
  });
  const ways = fistWays(page, (name, number) => {
    ways.close();
    keep(handsWith(store.state.hands, FIST, { [name]: number }));
  });
  const change = (hands) => store.update({ hands });
  const list = handList(page, following(page), change);
  const bowl = handList(page, [measures(page.facts).get("bowl")], change);
  const measuring = el("h3", { tabindex: "-1", text: t("hands.measure") });
  const section = placeSection(
    { id: "hands", title: t("hands.title"), hint: t("hands.hint") },
    store.state.opened && el("a", { class: "way-back", href: stepAddress("amount"), text: t("hands.back") }),
    el(
      "div",
      { class: "hands-fist" },
      el(
        "div",
        { class: "fist-now" },
        drawing("fist"),
        el("div", { class: "fist-words" }, head, size, sure),
        everywhere,
        reset,
      ),
      measuring,
      ways.element,
    ),
    el(
      "div",
      { class: "hands-others" },
      el("h3", { text: t("hands.others") }),
      el("p", { class: "hint", text: t("hands.others_hint") }),
      list.element,
      el("h3", { text: t("hands.bowl") }),
      bowl.element,
      fold(t("hands.educator"), ...EDUCATOR.map((key) => el("p", { text: t(`hands.educator_${key}`) }))),
    ),
    footLink(page),
  );

  /** Keep a fist, and go to where it is said. */
  function keep(hands) {
    store.update({ hands });
    focusOn(head);
  }

  function refresh() {
    const { hands } = store.state;
    const own = FIST.some((name) => name in hands);
    const fist = sizeIn(page, hands, measures(page.facts).get("fist"));
    const { about, exact } = sayIn(page, fist);
    head.textContent = t(own ? "hands.your_fist" : "hands.usual_fist");
    size.textContent = t("hands.about", { size: about });
    sure.textContent = t("hands.exactly", { exact, spread: spreadWords(page, fist.spread) });
    [everywhere.hidden, reset.hidden] = [!own, !own];
    list.refresh();
    bowl.refresh();
  }

  /** Show where a measure is measured, as the way from a food leads here. */
  function reveal(measure) {
    if (!list.reveal(measure) && !bowl.reveal(measure)) focusOn(measuring);
  }

  refresh();
  return { section, refresh, reveal };
}
