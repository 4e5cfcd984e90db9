/** What the page remembers: all that a person typed or chose, kept on this phone so that a killed tab loses nothing. */

const KEY = "shelfcheck.page";
const NOTHING = {
  lang: null,
  at: "label",
  opened: false,
  draft: null,
  amount: null,
  food: "",
  name: "",
  keptId: null,
  plan: { meal_carbohydrate_g: "", day_sodium_mg: "" },
  ringScale: null,
  hands: {},
  sortBy: "carbohydrate",
  side: { ids: [], measure: "fist", count: 1 },
};
/** What outlives "start over": it belongs to the person, not to the package. */
const LASTING = ["lang", "plan", "ringScale", "hands", "sortBy", "side"];

/**
 * @typedef {object} State
 * @property {"en" | "es" | null} lang Null until the person chooses.
 * @property {"label" | "check" | "amount"} at The step that the person is at.
 * @property {boolean} opened Whether the label has been accepted, so that there are numbers.
 * @property {import("./draft.js").Draft | null} draft
 * @property {{measure: string, count: number, cooked: boolean | null} | null} amount `cooked`: null until it is told.
 * @property {string} food As typed.
 * @property {string} name What the shopper calls the food, where it is a kept one.
 * @property {string | null} keptId The kept food that this is.
 * @property {{meal_carbohydrate_g: string, day_sodium_mg: string}} plan As typed.
 * @property {number | null} ringScale Screen pixels to a millimetre, where the person has set it with a coin.
 * @property {Object<string, number>} hands The person's own measures by name, such as `{fist_ml: 300}`.
 * @property {string} sortBy The nutrient that foods side by side are sorted by.
 * @property {{ids: string[], measure: string, count: number}} side The kept foods side by side, at one amount.
 * @property {Blob | null} photo The photo as sent; it is never stored.
 */

/** The state, saved at every change, with a "change" event after each. */
export class Store extends EventTarget {
  constructor() {
    super();
    /** @type {State} */
    this.state = { ...NOTHING, ...recall(), photo: null };
  }

  /** Change some of the state, save it, and tell everyone. */
  update(change) {
    Object.assign(this.state, change);
    this.save();
    this.dispatchEvent(new Event("change"));
  }

  /** Forget the label and the amount. */
  startOver() {
    const lasting = Object.fromEntries(LASTING.map((key) => [key, this.state[key]]));
    this.update({ ...NOTHING, ...lasting, photo: null });
  }

  /** Write the state down; a phone that refuses to store still works until the tab closes. */
  save() {
    const { photo, ...kept } = this.state;
    try {
      localStorage.setItem(KEY, JSON.stringify(kept));
    } catch {
      // Private windows and full phones refuse; there is nothing that a shopper could do about it.
    }
  }
}

function recall() {
  try {
    return JSON.parse(localStorage.getItem(KEY)) ?? {};
  } catch {
    return {};
  }
}
