/** The controller: owns the state, builds the steps, and works out the numbers after every change. */

import { loadFacts } from "./facts.js";
import { nutrients } from "./rules.js";
import { ask } from "./page/confirm.js";
import { connect } from "./page/connection.js";
import { whenCalm } from "./page/calm.js";
import { focusOn, isWide, loadDrawings } from "./page/dom.js";
import { draftFromPanel, isTyped } from "./page/draft.js";
import { rowsOf } from "./page/fields.js";
import { frame } from "./page/frame.js";
import { handGuide } from "./page/guide.js";
import { labelStep } from "./page/label_step.js";
import { firstLanguage, voice } from "./page/language.js";
import { goTo } from "./page/address.js";
import { places } from "./page/places.js";
import { emptyStep } from "./page/step.js";
import { Store } from "./page/store.js";
import { Outbox } from "./phone/outbox.js";

const LATER = ["check", "amount", "numbers"];
const loadWork = () => import("./page/work.js");

/** What every screen gets: the facts, the state, the voice, the numbers, and ways to move. */
class Page {
  constructor(facts, store, work) {
    this.facts = facts;
    this.store = store;
    this.outbox = new Outbox();
    this.mainRows = rowsOf(facts, {}).main.map(({ id }) => id);
    this.steps = {};
    this.work = work;
    this.result = null;
    this.photoUrl = null;
    this.store.addEventListener("change", () => this.refresh());
    this.rebuild();
    this.connection = connect(this);
    whenCalm(() => this.getWork());
  }

  /** Get what comes after the label, where it is not here yet; tell where it cannot be had. */
  async getWork() {
    const unloaded = document.getElementById("unloaded");
    try {
      this.work ??= await loadWork();
      unloaded.hidden = true;
    } catch {
      unloaded.hidden = !this.store.state.draft; // else it is tried again when it is needed
      const again = () => this.getWork().then(() => this.store.state.draft && this.work && this.rebuild());
      window.addEventListener("online", again, { once: true });
    }
  }

  /** Build everything anew, in the language of now; then go to `step` where one is named. */
  rebuild(step = null) {
    const photo = this.steps.label?.interrupt();
    this.showPhoto();
    this.voice = voice(this.facts, firstLanguage(this.store.state.lang));
    this.steps = { label: labelStep(this), ...this.laterSteps() };
    this.frame = frame(this, this.steps, handGuide(this));
    this.places?.leave();
    this.places = places(this);
    this.refresh();
    if (this.store.state.draft && !this.work) this.getWork().then(() => this.work && this.rebuild(step));
    else if (step) this.go(step);
    if (photo) this.steps.label.read(...photo);
  }

  /** Return the steps after the first: empty ones until there is a label for them. */
  laterSteps() {
    const make = (name, place) => {
      const built = this.store.state.draft && this.work?.steps[name](this);
      return [name, built || emptyStep(name, place + 2, this.voice.t(`${name}.title`))];
    };
    return Object.fromEntries(LATER.map(make));
  }

  refresh() {
    this.result = this.work?.workOut(this) ?? null;
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

/** Start the page. Nothing waits for it, since what is loaded later needs this module whole. */
async function start() {
  const store = new Store();
  try {
    const [facts, work] = await Promise.all([loadFacts(), store.state.draft && loadWork(), loadDrawings()]);
    new Page(facts, store, work);
  } catch (error) {
    document.getElementById("unloaded").hidden = false; // in both languages: the words may be what is missing
    throw error;
  }
}

start();
