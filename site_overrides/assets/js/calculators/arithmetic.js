/*
 * What the bench calculators share: what is typed, refusals, heat, and how an answer is written. Each calculator is a
 * file of its own that adds itself to `kinds`; its fields come from tools/benchlore/circuit/calculators.py.
 * Values are in base units (V, A, ohm, W); an estimate is { low, middle, high }.
 */
(function () {
  "use strict";
  const benchlore = /** @type {any} */ ((window.benchlore = window.benchlore || {}));

  /** @typedef {{ low: number, high: number, nominal: number | null }} Value */

  /** @type {Record<string, string>} */
  const EXAMPLES = {
    V: "a voltage, such as 3.05 V",
    ohm: "a resistance, such as 2.2 kohm",
    A: "a current, such as 2 A",
  };
  /* Common practice, no source; the rise of a small chip part from memory of data sheets. */
  const RISE_PER_WATT = 200;
  const CAMERA_RISE = 1;
  const PLAIN_RISE = 10;

  /** A value that cannot be taken: `field` and `reason`. */
  class Refusal extends Error {
    /**
     * @param {string} field
     * @param {string} reason
     */
    constructor(field, reason) {
      super(field + ": " + reason);
      this.field = field;
      this.reason = reason;
    }
  }

  /**
   * What is typed into a field, in `unit` (V, A or ohm). Throws Refusal.
   * @type {(field: string, text: string, unit: string) => Value}
   */
  function typed(field, text, unit) {
    const found = benchlore.typed.attempt(() => benchlore.typed.typed(text, unit));
    if (found instanceof benchlore.typed.TypedError) {
      const mend = found.choices.length ? found.mend : "write " + EXAMPLES[unit];
      throw new Refusal(field, found.reason + "; " + mend);
    }
    if (found.current === "ac") {
      throw new Refusal(field, "AC does not fit; write " + EXAMPLES[unit] + ", as read in DC");
    }
    return { low: found.low, high: found.high, nominal: found.nominal };
  }

  /** @param {Value} v */
  function middleOf(v) {
    return v.nominal === null ? (v.low + v.high) / 2 : v.nominal;
  }

  /** @type {(field: string, v: Value) => void} */
  function positive(field, v) {
    if (v.low <= 0) throw new Refusal(field, "must be more than zero");
  }

  /** @type {(field: string, v: Value) => void} */
  function notNegative(field, v) {
    if (v.low < 0) throw new Refusal(field, "is negative; swap the leads");
  }

  /**
   * Who sees a power as heat: nobody (hidden), a thermal camera only, or alcohol too (plain).
   * @type {(watts: number) => "hidden" | "camera" | "plain"}
   */
  function seenBy(watts) {
    const rise = watts * RISE_PER_WATT;
    if (rise < CAMERA_RISE) return "hidden";
    return rise < PLAIN_RISE ? "camera" : "plain";
  }

  /** @type {Readonly<Record<string, string>>} */
  const HEAT = benchlore.calculatorForms.heat;

  /** @type {(value: number, unit: string, digits?: number) => string} */
  function show(value, unit, digits = 3) {
    return benchlore.quantity.format(value, unit, digits);
  }

  /**
   * The value, and its worst case where there is one.
   * @type {(estimate: { low: number, middle: number, high: number }, unit: string) => string}
   */
  function spread(estimate, unit) {
    const middle = show(estimate.middle, unit);
    if (estimate.low === estimate.high) return middle;
    return middle + " (" + show(estimate.low, unit) + " to " + show(estimate.high, unit) + ")";
  }

  /** @type {Record<string, { work: (given: any) => any, said: (found: any) => [string, string][] }>} */
  const kinds = {};

  /**
   * One calculation from what is typed. Throws Refusal.
   * @type {(kind: string, given: Record<string, string>) => any}
   */
  function work(kind, given) {
    /** @type {[string, { unit: string, required: boolean }][]} */
    const fields = Object.entries(benchlore.calculatorForms.fields[kind]);
    const values = fields.map(([name, { unit, required }]) => {
      const text = given[name] || "";
      return [name, required || text.trim() ? typed(name, text, unit) : null];
    });
    return kinds[kind].work(Object.fromEntries(values));
  }

  benchlore.calculators = {
    Refusal,
    typed,
    positive,
    notNegative,
    middleOf,
    seenBy,
    show,
    spread,
    HEAT,
    kinds,
    work,
  };
})();
