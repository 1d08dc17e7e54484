/*
 * Values for people, as tools/benchlore/quantity.py and site/words.py write them.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  /** @type {[string, number][]} */
  const PREFIXES = [
    ["G", 9],
    ["M", 6],
    ["k", 3],
    ["", 0],
    ["m", -3],
    ["\u00b5", -6],
    ["n", -9],
    ["p", -12],
  ];
  const UNPREFIXED = ["degC", "mm", "min", "%"];
  /** @type {Record<string, string>} */
  const SIGNS = { ohm: "\u03a9", degC: "\u00b0C" };
  /** Smaller readings take a prefix. */
  const LEAST_SHOWN = 0.001;
  const NBSP = "\u00a0";

  /**
   * A value with its unit and the SI prefix that fits: `7.920 V`, `2.2 k\u03a9`; the space never breaks.
   * @param {number} value in the base unit
   * @param {string} unit
   * @param {number} [digits] significant
   */
  function format(value, unit, digits = 4) {
    const sign = SIGNS[unit] || unit;
    if (!Number.isFinite(value)) return "open";
    if (UNPREFIXED.includes(unit) || value === 0) return significant(value, digits) + NBSP + sign;
    for (const [prefix, power] of PREFIXES) {
      const shown = value / 10 ** power;
      if (Number(Math.abs(shown).toPrecision(digits)) >= 1 || prefix === "p") {
        return significant(shown, digits) + NBSP + prefix + sign;
      }
    }
    return significant(value, digits) + NBSP + sign;
  }

  /**
   * A reading in the unit that the field asks for, as a meter shows it: `0.31 V`, not 310.0 mV.
   * @param {number} value in the base unit
   * @param {string} unit
   */
  function reading(value, unit) {
    if (value !== 0 && (Math.abs(value) >= 1000 || Math.abs(value) < LEAST_SHOWN)) return format(value, unit);
    return Number(value.toPrecision(5)) + NBSP + (SIGNS[unit] || unit);
  }

  /** @type {(value: number, digits: number) => string} */
  function significant(value, digits) {
    const rounded = Number(value.toPrecision(digits));
    const whole = Math.abs(rounded) >= 1 ? String(Math.trunc(Math.abs(rounded))).length : 1;
    return rounded.toFixed(Math.max(digits - whole, 0));
  }

  /**
   * A value beside its uncertainty, with the digits that the uncertainty leaves: `7.92 V \u00b1 0.04 V`.
   * @param {number} value
   * @param {number} spread half width, in the base unit
   * @param {string} unit
   */
  function withSpread(value, spread, unit) {
    const size = Math.max(Math.abs(value), spread);
    const plain = UNPREFIXED.includes(unit) || value === 0 || (size >= LEAST_SHOWN && size < 1000);
    const [prefix, power] = plain ? ["", 0] : PREFIXES.find(([, p]) => size >= 10 ** p) || ["p", -12];
    const shown = spread / 10 ** power;
    const leading = Math.floor(Math.log10(shown));
    const digits = shown / 10 ** leading < 2 ? 2 : 1; // 0.014, but 0.07
    const decimals = shown > 0 ? Math.max(0, Math.min(6, digits - 1 - leading)) : 2;
    const sign = NBSP + prefix + (SIGNS[unit] || unit);
    return (value / 10 ** power).toFixed(decimals) + sign + " \u00b1" + NBSP + shown.toFixed(decimals) + sign;
  }

  /**
   * A probability: `90 %`; below one percent and above 99 it says so instead of 0 and 100.
   * @param {number} value 0 to 1
   */
  function share(value) {
    if (value > 0 && value < 0.005) return "under" + NBSP + "1" + NBSP + "%";
    if (value < 1 && value >= 0.995) return "over" + NBSP + "99" + NBSP + "%";
    return Math.round(value * 100) + NBSP + "%";
  }

  /**
   * `3 min`; from ten minutes up without decimals.
   * @param {number} value
   */
  function minutes(value) {
    const shown = value >= 9.95 ? Math.round(value) : Math.round(value * 10) / 10;
    return shown + NBSP + "min";
  }

  /**
   * `1 fault`, `3 faults`.
   * @type {(count: number, one: string, many?: string) => string}
   */
  function plural(count, one, many) {
    return count + NBSP + (count === 1 ? one : many || one + "s");
  }

  benchlore.quantity = { format, reading, withSpread, share, minutes, plural };
})();
