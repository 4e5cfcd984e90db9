/** Errors that a person can act on; the same codes and sentences as `shelfcheck/errors.py`. */

/** An amount, a panel or a plan that cannot be used. */
export class PortionError extends Error {
  /**
   * @param {string} code `no_bridge`, `unknown_measure`, `unknown_food`, `bad_amount` or `invalid_input`.
   * @param {string} message What happened and what to do, in the reader's language.
   * @param {Object<string, string>} fields Each faulty field's path with the sentence about it.
   */
  constructor(code, message, fields = {}) {
    super(message);
    this.name = "PortionError";
    this.code = code;
    this.fields = fields;
  }

  /** The sentence for a single place on the page: about the first faulty field, else about the whole. */
  get sentence() {
    return Object.values(this.fields)[0] ?? this.message;
  }

  /** @returns {{error: {code: string, message: string, fields: Object<string, string>}}} The service's answer. */
  toJSON() {
    return { error: { code: this.code, message: this.message, fields: this.fields } };
  }
}

/**
 * Return the result of each step; when steps fail, throw their faults together.
 *
 * @param {(fields: Object<string, string>) => PortionError} asOne Makes one error of several.
 * @param {...() => any} steps
 * @returns {any[]}
 * @throws {PortionError} The one error, or one that holds the fields of them all.
 */
export function gather(asOne, ...steps) {
  const results = [];
  const failed = [];
  for (const step of steps) {
    try {
      results.push(step());
    } catch (error) {
      if (!(error instanceof PortionError)) throw error;
      failed.push(error);
    }
  }
  if (failed.length > 1) throw asOne(Object.assign({}, ...failed.map((error) => error.fields)));
  if (failed.length) throw failed[0];
  return results;
}
