/*
 * What a technician types, and what it is: a value, over-range, or the name of an outcome.
 * The same as tools/benchlore/diagnosis/reading.py, reading for reading.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const { clean, isOverRange, scaled, attempt, LONGEST } = benchlore.typed;
  const { functions: FUNCTIONS, prefixes: PREFIXES } = benchlore.vocabulary;

  /** A lone 1 on the left is how some meters show over-range; with a point nobody types it for a value. */
  const LONE_ONE = /^1 ?[.,]?$/;
  /** What people write between two readings that they compare. */
  const BETWEEN = /\s*(?:\/|\bagainst\b|\bvs\b\.?|\band\b)\s*/;
  const { exact, rangesOf } = benchlore.meter;
  const SLIPS = ["k", "M", "m", "u"];

  /**
   * The reading that a typed text stands for, or the reason why it is none.
   * @type {(measurement: BenchMeasurement, meter: BenchMeter, text: string) => BenchReading | BenchRefusal}
   */
  function read(measurement, meter, text) {
    const said = clean(text);
    if (!said) return refuse("nothing was typed", "type " + expected(measurement));
    if ([...said].length > LONGEST) {
      return refuse("a reading is at most " + LONGEST + " characters long", "type " + expected(measurement));
    }
    const name = said.toLowerCase().replace(/[ _]+/g, "-");
    const named = Object.values(measurement.outcomes).some((outcome) => outcome.id === name);
    if (measurement.links.unit === null) {
      if (named) return { value: null, outcome: name };
      return refuse("'" + said + "' is not an outcome here", "choose one of " + names(measurement));
    }
    if (measurement.compare && !named) return compared(measurement, meter, said);
    const lacks = withoutRanges(measurement, meter);
    const over = isOverRange(said, measurement.links.unit);
    const possible = !lacks && readsOver(measurement, meter);
    if (named && !(over && possible)) return { value: null, outcome: name };
    if (lacks) return lacks;
    if (over && possible) return { value: null, outcome: null };
    if (over) {
      return refuse(
        "over-range in " +
          functionOf(measurement).phrase +
          " says that the dial is wrong, or its range too low",
        "check the dial, and measure again",
      );
    }
    if (LONE_ONE.test(said) && (said !== "1" || possible)) {
      return asked("some meters show a lone 1 when they are over their range", [
        "OL",
        "1.0 " + measurement.links.unit,
      ]);
    }
    return value(measurement, meter, said);
  }

  /**
   * Two readings of one meter, the first as a share (%) above the second.
   * @type {(measurement: BenchMeasurement, meter: BenchMeter, said: string) => BenchReading | BenchRefusal}
   */
  function compared(measurement, meter, said) {
    const halves = said.split(BETWEEN);
    if (halves.length !== 2) return refuse("two readings are compared here", "type " + expected(measurement));
    const links = { ...measurement.links, unit: functionOf(measurement).unit };
    const plain = { ...measurement, compare: null, outcomes: {}, links };
    const [one, other] = halves.map((half) => read(plain, meter, half));
    if ("reason" in one) return askedOfHalf(one, (choice) => choice + " / " + halves[1]);
    if ("reason" in other) return askedOfHalf(other, (choice) => halves[0] + " / " + choice);
    if (one.span || other.span) {
      return refuse("an unsteady reading cannot be compared", "wait until both are steady");
    }
    if (one.value === null && other.value === null) {
      return refuse("both are over the range, which compares nothing", "check the dial and the points");
    }
    if (other.value === null) return outcome(measurement, "low");
    const ranges = rangesOf(plain, meter);
    if (one.value !== null && Math.max(one.value, other.value) <= offset(ranges)) {
      return refuse("both read nothing, which compares nothing", "check that both points have contact");
    }
    if (one.value === null || other.value === 0) return outcome(measurement, "high");
    const share = 100 * (one.value / other.value - 1);
    if (share > benchlore.meter.MOST_APART) return outcome(measurement, "high");
    return {
      value: share,
      outcome: null,
      u: benchlore.meter.ratioUncertainty(ranges, one.value, other.value),
    };
  }

  /**
   * The refusal of one of two readings; what it may mean is asked back with the other beside it.
   * @type {(refusal: BenchRefusal, whole: (choice: string) => string) => BenchRefusal}
   */
  function askedOfHalf(refusal, whole) {
    const { reason, choices = [] } = refusal;
    return choices.length ? asked(reason, choices.map(whole)) : refusal;
  }

  /** @type {(measurement: BenchMeasurement, id: string) => BenchReading | BenchRefusal} */
  function outcome(measurement, id) {
    if (id in measurement.outcomes) return { value: null, outcome: id };
    return refuse("one of the two is far beyond the other", "type the outcome: " + names(measurement));
  }

  /**
   * @param {BenchMeasurement} measurement
   * @param {BenchMeter} meter
   * @param {string} said
   * @returns {BenchReading | BenchRefusal}
   */
  function value(measurement, meter, said) {
    const { current, power, phrase, signed, most } = functionOf(measurement);
    const ranges = rangesOf(measurement, meter);
    const limit = Math.min(benchlore.meter.largestReading(ranges), most === null ? Infinity : most);
    const found = attempt(() => benchlore.typed.typed(said, measurement.links.unit || ""));
    if ("reason" in found) return { reason: found.reason, mend: found.mend, choices: found.choices };
    if (found.nominal !== null && found.low !== found.high) {
      return refuse("'" + said + "' has a tolerance", "type what the meter shows");
    }
    if (found.current && found.current !== current) {
      return refuse(
        found.current.toUpperCase() + " does not fit: this is read in " + phrase,
        "set the meter to " + phrase + ", and measure again",
      );
    }
    if (
      found.unit === "ohm" &&
      found.prefix === "m" &&
      found.low > 0 &&
      found.low < exact(first(ranges).resolution)
    ) {
      return asked(said + " is less than this meter can show", [
        found.number + " Mohm",
        found.number + " ohm",
      ]);
    }
    if (Math.max(Math.abs(found.low), Math.abs(found.high)) > limit) {
      return beyond(measurement, ranges, found, said);
    }
    const below = found.low < -offset(ranges);
    if (!signed && below) {
      return refuse(
        said + " is below zero, and " + phrase + " cannot be",
        power === "off" ? "check that no charge is left on the board" : "check the sign",
      );
    }
    const choices = slips(measurement, ranges, found);
    if (choices.length) {
      return asked("'" + said + "' would be healthy with the prefix of the display", choices);
    }
    const note =
      current === "dc" && below
        ? "below zero: check that the leads are not turned and that the ground clip is on ground"
        : "";
    /** @type {BenchReading} */
    const reading = {
      value: found.nominal === null ? (found.low + found.high) / 2 : found.nominal,
      outcome: null,
    };
    return {
      ...reading,
      ...(found.nominal === null ? { span: /** @type {const} */ ([found.low, found.high]) } : {}),
      ...(note ? { note } : {}),
    };
  }

  /**
   * Whether the meter can mean it: an open circuit in this mode, or an outcome beyond its ranges.
   * @type {(measurement: BenchMeasurement, meter: BenchMeter) => boolean}
   */
  function readsOver(measurement, meter) {
    if (functionOf(measurement).over_range) return true;
    const limit = benchlore.meter.largestReading(rangesOf(measurement, meter));
    return Object.values(measurement.outcomes).some(({ range }) => range !== null && lowOf(range) >= limit);
  }

  /**
   * @param {BenchMeasurement} measurement
   * @param {readonly BenchMeterRange[]} ranges
   * @param {TypedValue} found
   * @param {string} said
   * @returns {BenchRefusal}
   */
  function beyond(measurement, ranges, found, said) {
    const { phrase, most } = functionOf(measurement);
    const limit = benchlore.meter.largestReading(ranges);
    if (most !== null && most <= limit) {
      return refuse(
        said + " is above " + most + ", and " + phrase + " cannot be",
        "type what the meter shows",
      );
    }
    const choices = meant(measurement, ranges, found, false);
    const shown = benchlore.quantity.format(limit, measurement.links.unit || "");
    return {
      reason: said + " is beyond the largest " + phrase + " range of this meter (" + shown + ")",
      mend: choices.length ? "type " + choices.join(" or ") : "choose the meter that was used",
      choices,
    };
  }

  /**
   * What a number without a unit may stand for, where it is not healthy and with a prefix would be.
   *
   * Asked only where a display can have shown it so: `0.4` is what a meter shows of 0.4 ohm, never of 400 ohm; but
   * `.514` has digits that no range of ohms has.
   * @type {(measurement: BenchMeasurement, ranges: readonly BenchMeterRange[], found: TypedValue) => string[]}
   */
  function slips(measurement, ranges, found) {
    const low = found.low;
    if (!found.bare || found.nominal === null || low === 0 || isNormal(measurement, low)) return [];
    if (Math.abs(low) < 1 && digit(found, 0) >= resolution(ranges, low)) return [];
    const others = meant(measurement, ranges, found, true);
    return others.length ? [found.number + " " + measurement.links.unit, ...others] : [];
  }

  /**
   * The typed number with each prefix that makes it an outcome (or a normal one) of the measurement.
   * @param {BenchMeasurement} measurement
   * @param {readonly BenchMeterRange[]} ranges
   * @param {TypedValue} found
   * @param {boolean} normal
   * @returns {string[]}
   */
  function meant(measurement, ranges, found, normal) {
    const unit = measurement.links.unit || "";
    if (!found.bare || found.nominal === null || !benchlore.vocabulary.units[unit]?.prefixed) return [];
    return SLIPS.filter((prefix) => {
      const power = PREFIXES[prefix] || 0;
      const meaning = scaled(found.number, power);
      const known = normal ? isNormal(measurement, meaning) : isKnown(measurement, meaning);
      const shown = Math.abs(meaning) <= benchlore.meter.largestReading(ranges);
      const fine = power > 0 || !normal || digit(found, power) >= resolution(ranges, meaning);
      return known && shown && fine;
    }).map((prefix) => found.number + " " + prefix + unit);
  }

  /** @type {(measurement: BenchMeasurement, found: number) => boolean} */
  function isNormal(measurement, found) {
    return Object.values(measurement.outcomes).some((one) => one.normal && holds(one, found));
  }

  /** @type {(measurement: BenchMeasurement, found: number) => boolean} */
  function isKnown(measurement, found) {
    return Object.values(measurement.outcomes).some((one) => holds(one, found));
  }

  /** @type {(outcome: BenchOutcome, found: number) => boolean} */
  function holds({ range }, found) {
    if (range === null) return false;
    return lowOf(range) <= found && (range.high === null || found <= range.high);
  }

  /**
   * The lower end of a range; of `open`, which has no end that is a number, it is infinite.
   * @param {BenchQuantity} range
   */
  function lowOf({ low, high }) {
    if (low === null) return high === null ? Infinity : -Infinity;
    return low;
  }

  /**
   * The worth of the last digit as typed, were it `power` tens greater.
   * @type {(found: TypedValue, power: number) => number}
   */
  function digit(found, power) {
    const [, part = ""] = found.number.split(".");
    return Number("1e" + (power - part.length));
  }

  /** @type {(ranges: readonly BenchMeterRange[], found: number) => number} */
  function resolution(ranges, found) {
    return exact(benchlore.meter.rangeFor(ranges, found).resolution) * (1 - 1e-9);
  }

  /**
   * How far below zero a meter may read by its counts alone, doubled.
   * @param {readonly BenchMeterRange[]} ranges
   */
  function offset(ranges) {
    return 2 * Math.max(first(ranges).counts, 1) * exact(first(ranges).resolution);
  }

  /**
   * @param {readonly BenchMeterRange[]} ranges at least one
   * @returns {BenchMeterRange}
   */
  function first(ranges) {
    return /** @type {BenchMeterRange} */ (ranges[0]);
  }

  /** @param {BenchMeasurement} measurement */
  function functionOf(measurement) {
    return /** @type {VocabularyFunction} */ (FUNCTIONS[measurement.mode]);
  }

  /**
   * The refusal of a meter that lacks the function, or null.
   * @type {(measurement: BenchMeasurement, meter: BenchMeter) => BenchRefusal | null}
   */
  function withoutRanges(measurement, meter) {
    if (rangesOf(measurement, meter).length > 0) return null;
    return refuse(
      meter.title + " has no " + functionOf(measurement).phrase + " function",
      "choose a meter that has it, or type the outcome: " + names(measurement),
    );
  }

  /** @param {BenchMeasurement} measurement */
  function expected(measurement) {
    if (measurement.links.unit === null) return "one of " + names(measurement);
    if (measurement.compare) return "both, " + measurement.at + " first: A / B";
    return "what the meter shows in " + measurement.links.unit + ", or OL";
  }

  /** @param {BenchMeasurement} measurement */
  function names(measurement) {
    return Object.values(measurement.outcomes)
      .map((outcome) => outcome.id)
      .join(", ");
  }

  /** @type {(reason: string, mend: string) => BenchRefusal} */
  function refuse(reason, mend) {
    return { reason, mend, choices: [] };
  }

  /**
   * A text that can mean several things; each choice is typed without doubt.
   * @type {(reason: string, choices: readonly string[]) => BenchRefusal}
   */
  function asked(reason, choices) {
    return { reason, mend: "type " + choices.join(" or "), choices };
  }

  /**
   * True for a refusal.
   * @type {(found: BenchReading | BenchRefusal) => found is BenchRefusal}
   */
  function refused(found) {
    return "reason" in found;
  }

  benchlore.reading = { read, refused };
})();
