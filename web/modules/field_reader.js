/** Reads the parts of a panel's JSON: numbers, words and states, with a sentence for each that cannot be. */

import { say } from "./words.js";

/** The longest text of a label, in letters. */
export const LONGEST = 80;
const STATES = ["sure", "check", "missing"];

/** Gathers faults by path, the first of each path. */
export class FieldReader {
  faults = new Map();

  constructor(facts, lang) {
    this.facts = facts;
    this.lang = lang;
  }

  fault(path, code, parts) {
    if (!this.faults.has(path)) this.faults.set(path, say(this.facts, `fault.${code}`, this.lang, parts));
  }

  stated(raw, path) {
    if (!isMapping(raw)) return { value: raw, state: "sure", extra: {} };
    const { value, state = "sure" } = raw;
    if (STATES.includes(state)) return { value, state, extra: raw };
    this.fault(`${path}.state`, "state");
    return { value, state: "check", extra: raw };
  }

  number(raw, path, most) {
    if (raw === null || raw === undefined) return null;
    if (typeof raw !== "number") this.fault(path, "not_a_number");
    else if (!Number.isFinite(raw) || raw > most) this.fault(path, "too_big", { most });
    else if (raw < 0) this.fault(path, "negative");
    else return raw;
    return null;
  }

  text(raw, path) {
    if (raw === null || raw === undefined) return "";
    if (typeof raw === "string" && Array.from(raw).length <= LONGEST) return raw;
    this.fault(path, "not_a_word", { most: LONGEST });
    return "";
  }

  mapping(raw, path) {
    if (isMapping(raw)) return raw;
    this.fault(path, "not_an_object", { name: path });
    return {};
  }

  known(value, allowed, path) {
    if (!allowed.includes(value)) this.fault(path, "one_of", { allowed: allowed.join(", ") });
    return allowed.includes(value);
  }
}

/** Tell whether `raw` is an object with named parts. */
export function isMapping(raw) {
  return typeof raw === "object" && raw !== null && !Array.isArray(raw);
}
