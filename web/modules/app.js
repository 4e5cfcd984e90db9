/** The controller: owns the state, builds the steps, and works out the numbers after every change. */

import { loadFacts } from "./facts.js";
import { planFrom } from "./plan.js";
import { buildPortion } from "./portion.js";
import { nutrients } from "./rules.js";
import { amountStep } from "./page/amount_step.js";
import { checkStep } from "./page/check_step.js";
import { ask } from "./page/confirm.js";
import { cookingMatters } from "./page/cooking.js";
import { connect } from "./page/connection.js";
import { focusOn, isWide, loadDrawings } from "./page/dom.js";
import { draftFromPanel, isTyped } from "./page/draft.js";
import { numberFrom, rowsOf } from "./page/fields.js";
import { firstAmount, settled } from "./page/first_amount.js";
import { frame } from "./page/frame.js";
import { handGuide } from "./page/guide.js";
import { labelStep } from "./page/label_step.js";
import { firstLanguage, voice } from "./page/language.js";
import { numbersStep } from "./page/numbers_step.js";
import { goTo } from "./page/address.js";
import { places } from "./page/places.js";
import { reviewDraft } from "./page/review.js";
import { Store } from "./page/store.js";
import { Outbox } from "./phone/outbox.js";

/** What every screen gets: the facts, the state, the voice, the numbers, and ways to move. */
class Page {
  constructor(facts) {
    this.facts = facts;
    this.store = new Store();
    this.outbox = new Outbox();
    this.mainRows = rowsOf(facts, {}).main.map(({ id }) => id);
    this.steps = {};
    this.result = null;
    this.photoUrl = null;
    this.store.addEventListener("change", () => this.refresh());
    this.rebuild();
    this.connection = connect(this);
  }

  /** Build everything anew, in the language of now; then go to `step` where one is named. */
  rebuild(step = null) {
    const photo = this.steps.label?.interrupt();
    this.showPhoto();
    this.voice = voice(this.facts, firstLanguage(this.store.state.lang));
    this.steps = {
      label: labelStep(this),
      check: checkStep(this),
      amount: amountStep(this),
      numbers: numbersStep(this),
    };
    this.frame = frame(this, this.steps, handGuide(this));
    this.places = places(this);
    this.refresh();
    if (step) this.go(step);
    if (photo) this.steps.label.read(...photo);
  }

  refresh() {
    this.result = this.workOut();
    for (const step of Object.values(this.steps)) step.refresh();
    this.frame.refresh();
    this.places?.refresh();
    this.connection?.refresh();
  }

  /** Bring a step into view and give its heading the focus. */
  go(step) {
    const heading = document.getElementById(`${step}-title`);
    if (step === "amount" && isWide()) document.getElementById("count").focus();
    else focusOn(heading);
  }

  /** Return the panel with the portion, or with the error that says what is missing; null before there is a label. */
  workOut() {
    const { draft, opened } = this.store.state;
    if (!draft || !opened) return null;
    const { panel } = reviewDraft(this.facts, draft, this.voice);
    if (!panel) return { panel: null };
    this.store.state.amount ??= firstAmount(this, panel);
    return { panel, ...this.portionOf(panel) };
  }

  portionOf(panel) {
    const { amount, food, hands } = this.store.state;
    const { plan, faults: planFaults } = this.plan();
    if (amount.cooked === null && cookingMatters(this, panel, amount.measure)) return { open: "cooked", planFaults };
    try {
      const portion = buildPortion(this.facts, {
        panel,
        amount: settled(amount),
        food: food || null,
        hands,
        plan,
        lang: this.voice.lang,
      });
      return { portion: { ...portion, plan }, planFaults };
    } catch (error) {
      if (error.name !== "PortionError") throw error;
      return { error, planFaults };
    }
  }

  /** Return the plan as typed, null for what no care team sets, and the faults of that by path. */
  plan() {
    const plan = {};
    const faults = {};
    for (const [key, text] of Object.entries(this.store.state.plan)) {
      plan[key] = numberFrom(text);
      try {
        planFrom(this.facts, plan, this.voice.lang);
      } catch (error) {
        if (error.name !== "PortionError") throw error;
        plan[key] = null;
        Object.assign(faults, error.fields);
      }
    }
    return { plan, faults };
  }

  /** Open a kept food as the label of now, at the amount it was kept with. */
  async open({ id, panel, food, amount, name }) {
    if (!(await this.mayReplace())) return;
    const draft = { ...draftFromPanel(this.facts, panel), source: "kept" };
    this.store.update({ draft, photo: null, at: "amount", opened: true, amount, food, keptId: id, name: name ?? "" });
    goTo("label");
    this.rebuild("amount");
  }

  /** Return the unit that is written after an amount; calories need none. */
  unitOf(nutrient) {
    const { unit } = nutrients(this.facts).get(nutrient);
    return unit === "kcal" ? "" : unit;
  }

  /** Make an address for the photo, where there is one, and give back the one before it. */
  showPhoto() {
    if (this.photoUrl) URL.revokeObjectURL(this.photoUrl);
    const { photo } = this.store.state;
    this.photoUrl = photo && URL.createObjectURL(photo);
  }

  /** Ask before typed work is lost; true where there is none. */
  async mayReplace() {
    const { t } = this.voice;
    if (!isTyped(this.store.state.draft)) return true;
    return ask({ question: t("over.question"), yes: t("over.yes"), no: t("over.no") });
  }

  async startOver() {
    if (!(await this.mayReplace())) return;
    this.store.startOver();
    this.rebuild("label");
  }

  /** Speak another language; the focus goes to the head's button for it. */
  speak(lang) {
    this.store.update({ lang });
    this.rebuild();
    document.getElementById(`speak-${lang}`).focus();
  }
}

try {
  const [facts] = await Promise.all([loadFacts(), loadDrawings()]);
  new Page(facts);
} catch (error) {
  document.getElementById("unloaded").hidden = false; // in both languages: the words may be what is missing
  throw error;
}
