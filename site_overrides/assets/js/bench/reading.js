/*
 * What a technician types, and what it is: a value, over-range, or the name of an outcome.
 * The same words and numbers are read as in tools/benchlore/diagnosis/reading.py.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  const LONGEST = 40;
  const OVER_RANGE = ["ol", "o.l", "o.l.", "0l", "0.l", ".ol", "open", "over", "overrange", "over-range"];
  /** @type {Record<string, string>} */
  const MODE_WORDS = {
    "dc-volts": "d.c. volts",
    "ac-ripple": "a.c. volts",
    junction: "diode mode",
    ohms: "ohms",
    amps: "amps",
    hertz: "frequency",
    seconds: "time",
    celsius: "temperature",
  };
  const UNSIGNED_MODES = ["ac-ripple", "junction", "ohms", "hertz", "seconds"];
  /** @type {Record<string, number>} */
  const PREFIXES = { p: -12, n: -9, u: -6, m: -3, "": 0, k: 3, M: 6, G: 9 };
  const BASE_UNITS = ["V", "A", "ohm", "F", "H", "Hz", "s", "degC", "W", "mm", "min", "%"];
  const UNPREFIXED = ["degC", "mm", "min", "%"];
  const NUMBER = "[-+]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)";
  const TYPED = new RegExp("^(" + NUMBER + ")\\s*([A-Za-z\u00b0%]*)$");
  const SEVERAL = new RegExp("^" + NUMBER + "[^0-9]*\\s[^0-9.,]*" + NUMBER + ".*$");
  const THOUSANDS = /^[-+]?[1-9][0-9]{0,2},[0-9]{3}$/;
  /** @type {[RegExp, string][]} */
  const LOOKALIKES = [
    [/[\u03a9\u2126]/g, "ohm"],
    [/[\u00b5\u03bc]/g, "u"],
    [/[\u2212\u2013]/g, "-"],
    [/[\u00a0\u202f\u2009]/g, " "],
  ];

  /**
   * The reading that a typed text stands for, or the reason why it is none.
   * @param {BenchMeasurement} measurement
   * @param {BenchMeter} meter
   * @param {string} typed
   * @returns {BenchReading | BenchRefusal}
   */
  function read(measurement, meter, typed) {
    const text = LOOKALIKES.reduce((said, [found, plain]) => said.replace(found, plain), typed).trim();
    if (!text) return refuse("nothing was typed", "type " + expected(measurement));
    if (text.length > LONGEST) {
      return refuse("a reading is at most " + LONGEST + " characters long", "type " + expected(measurement));
    }
    const name = text.toLowerCase().replace(/[\s_]+/g, "-");
    const known = Object.values(measurement.outcomes).some((outcome) => outcome.id === name);
    if (measurement.links.unit === null) {
      if (known) return { value: null, outcome: name };
      return refuse("'" + text + "' is not an outcome here", "choose one of " + names(measurement));
    }
    if (OVER_RANGE.includes(name) || text === "\u221e") {
      return withoutRanges(measurement, meter) || { value: null, outcome: null };
    }
    if (known) return { value: null, outcome: name };
    return value(measurement, meter, text);
  }

  /**
   * @param {BenchMeasurement} measurement
   * @param {BenchMeter} meter
   * @param {string} text
   * @returns {BenchReading | BenchRefusal}
   */
  function value(measurement, meter, text) {
    const found = TYPED.exec(text);
    if (!found) return notANumber(measurement, text);
    const number = String(found[1]);
    const base = measurement.links.unit || "";
    const power = powerOf(base, found[2] || "");
    if (typeof power !== "number") return power;
    const lacks = withoutRanges(measurement, meter);
    if (lacks) return lacks;
    const limit = benchlore.meter.largestReading(meter.accuracy[measurement.mode] || []);
    const word = MODE_WORDS[measurement.mode] || measurement.mode;
    if (THOUSANDS.test(number) && Math.abs(scaled(number.replace(",", ""), power)) <= limit) {
      return refuse(
        "'" + number + "' can be read in two ways",
        "type " + number.replace(",", ".") + " or " + number.replace(",", ""),
      );
    }
    const result = scaled(number.replace(",", "."), power);
    if (Math.abs(result) > limit) {
      return refuse(
        text +
          " is beyond the largest " +
          word +
          " range of this meter (" +
          benchlore.quantity.format(limit, base) +
          ")",
        "type OL when the meter shows over-range, or choose the meter that was used",
      );
    }
    if (UNSIGNED_MODES.includes(measurement.mode) && result < 0 && -result > offset(measurement, meter)) {
      return refuse(text + " is below zero, and " + word + " cannot be", "check the sign");
    }
    return { value: result, outcome: null };
  }

  /**
   * How far below zero a meter may read by its counts alone, doubled.
   * @param {BenchMeasurement} measurement
   * @param {BenchMeter} meter
   */
  function offset(measurement, meter) {
    const smallest = /** @type {BenchMeterRange} */ ((meter.accuracy[measurement.mode] || [])[0]);
    return 2 * Math.max(smallest.counts, 1) * benchlore.meter.exact(smallest.resolution);
  }

  /**
   * The refusal of a meter that lacks the function, or null.
   * @param {BenchMeasurement} measurement
   * @param {BenchMeter} meter
   */
  function withoutRanges(measurement, meter) {
    if ((meter.accuracy[measurement.mode] || []).length > 0) return null;
    return refuse(
      meter.title + " has no " + MODE_WORDS[measurement.mode] + " function",
      "choose a meter that has it, or type the outcome: " + names(measurement),
    );
  }

  /**
   * The power of ten of a typed unit, or the refusal of one that does not fit.
   * @param {string} base
   * @param {string} unit
   * @returns {number | BenchRefusal}
   */
  function powerOf(base, unit) {
    if (!unit) return 0;
    const prefix = Object.hasOwn(PREFIXES, unit) ? PREFIXES[unit] : undefined;
    if (prefix !== undefined && base !== "degC" && base !== "%") return prefix;
    if (base === "Hz" && unit.toLowerCase() === "mhz" && !["mHz", "MHz"].includes(unit)) {
      return refuse("'" + unit + "' can be read in two ways", "type MHz or mHz");
    }
    if (["c", "\u00b0c"].includes(unit.toLowerCase()) && base === "degC") return 0;
    if (["R", "r"].includes(unit) && base === "ohm") return 0;
    const split = splitUnit(spelled(unit, base));
    if (!split) return refuse("'" + unit + "' is not a unit", "type the reading in " + base);
    if (split.base !== base) {
      return refuse(split.base + " does not fit: this is read in " + base, "type the reading in " + base);
    }
    return split.power;
  }

  /** @param {string} text */
  function splitUnit(text) {
    if (BASE_UNITS.includes(text)) return { power: 0, base: text };
    const power = PREFIXES[text.slice(0, 1)];
    const base = text.slice(1);
    if (power === undefined || !BASE_UNITS.includes(base) || UNPREFIXED.includes(base)) return null;
    return { power, base };
  }

  /**
   * The unit with its letters in the usual case: `v` -> V, `mv` -> mV, `KOHM` -> kohm, `khz` -> kHz.
   * @param {string} unit
   * @param {string} base
   */
  function spelled(unit, base) {
    const bare = unit.replace(/s+$/, "");
    if (!unit.toLowerCase().replace(/s+$/, "").endsWith(base.toLowerCase()) || base === "s") return unit;
    const prefix = unit.slice(0, (base === "ohm" ? bare : unit).length - base.length);
    return (prefix === "K" ? "k" : prefix) + base;
  }

  /**
   * @param {BenchMeasurement} measurement
   * @param {string} text
   */
  function notANumber(measurement, text) {
    if (SEVERAL.test(text)) return refuse("'" + text + "' holds more than one number", "type one reading");
    if (/^[<>~\u2264\u2265\u2248]/.test(text))
      return refuse("'" + text + "' is not a reading", "type what the meter shows");
    return refuse("'" + text + "' is not a reading", "type " + expected(measurement));
  }

  /**
   * The float nearest to `number` x 10^power, by way of the decimal text: 819 mV is exactly 0.819.
   * @param {string} number
   * @param {number} power
   */
  function scaled(number, power) {
    return Number(number + "e" + power);
  }

  /** @param {BenchMeasurement} measurement */
  function expected(measurement) {
    if (measurement.links.unit === null) return "one of " + names(measurement);
    return "what the meter shows in " + measurement.links.unit + ", or OL";
  }

  /** @param {BenchMeasurement} measurement */
  function names(measurement) {
    return Object.values(measurement.outcomes)
      .map((outcome) => outcome.id)
      .join(", ");
  }

  /**
   * @param {string} reason
   * @param {string} mend
   * @returns {BenchRefusal}
   */
  function refuse(reason, mend) {
    return { reason, mend };
  }

  /**
   * True for a refusal.
   * @param {BenchReading | BenchRefusal} found
   * @returns {found is BenchRefusal}
   */
  function refused(found) {
    return "reason" in found;
  }

  benchlore.reading = { read, refused, LONGEST };
})();
