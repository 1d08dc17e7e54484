/*
 * Leak, injection and fuse: the same arithmetic as tools/benchlore/circuit, value for value.
 * Values are in base units (V, A, ohm, W); an estimate is { low, middle, high }.
 */
(function () {
  "use strict";
  const benchlore = /** @type {any} */ ((window.benchlore = window.benchlore || {}));

  /** @typedef {{ low: number, middle: number, high: number }} Estimate */
  /** @typedef {{ low: number, high: number, nominal: number | null }} Value */

  /** @type {Record<string, string>} */
  const EXAMPLES = {
    V: "a voltage, such as 3.42 V",
    ohm: "a resistance, such as 2.2 kohm",
    A: "a current, such as 2 A",
  };
  /* Common practice, no source; the rise of a small chip part from memory of data sheets. */
  const RISE_PER_WATT = 200;
  const CAMERA_RISE = 1;
  const PLAIN_RISE = 10;
  const SHORT = 1;
  const FIRST_VOLTS = 0.5;
  const FIRST_POWER = 0.5;
  const FIRST_LIMIT = 1;
  const LEAST_SHORT = 0.005;
  const OPEN_DROP = 1;

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
   * @param {string} field
   * @param {string} text
   * @param {string} unit
   * @returns {Value}
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

  /**
   * @param {string} field
   * @param {Value} v
   */
  function positive(field, v) {
    if (v.low <= 0) throw new Refusal(field, "must be more than zero");
  }

  /**
   * @param {string} field
   * @param {Value} v
   */
  function notNegative(field, v) {
    if (v.low < 0) throw new Refusal(field, "is negative; swap the leads");
  }

  /**
   * Who sees a power as heat: nobody (hidden), a thermal camera only, or alcohol too (plain).
   * @param {number} watts
   * @returns {"hidden" | "camera" | "plain"}
   */
  function seenBy(watts) {
    const rise = watts * RISE_PER_WATT;
    if (rise < CAMERA_RISE) return "hidden";
    return rise < PLAIN_RISE ? "camera" : "plain";
  }

  /**
   * The leak behind a reading on a line with a pull-up, read by a meter.
   * @param {Value} supply
   * @param {Value} pullUp
   * @param {Value} reading
   * @param {Value} meter
   */
  function leak(supply, pullUp, reading, meter) {
    positive("supply", supply);
    positive("pull_up", pullUp);
    notNegative("reading", reading);
    positive("meter", meter);
    if (reading.low > supply.high) {
      throw new Refusal("reading", "lies above the rail: something drives the line, so it is no leak");
    }
    const [s, p, r, m] = [middleOf(supply), middleOf(pullUp), middleOf(reading), middleOf(meter)];
    /** @type {Estimate} */
    const healthy = {
      low: level(supply.low, pullUp.high, meter.low),
      middle: level(s, p, m),
      high: level(supply.high, pullUp.low, meter.high),
    };
    const most = through(supply.high, pullUp.low, reading.low, meter.high);
    const least = through(supply.low, pullUp.high, reading.high, meter.low);
    const current = { low: least, middle: through(s, p, r, m), high: most };
    const resistance = {
      low: ratio(reading.low, most),
      middle: ratio(r, current.middle),
      high: ratio(reading.high, least),
    };
    const watts = {
      low: Math.min(
        ...[reading.low, reading.high].map((v) => v * through(supply.low, pullUp.high, v, meter.low)),
      ),
      middle: r * current.middle,
      high: largest(supply.high, pullUp.low, reading, meter.high),
    };
    const verdict = reading.high >= healthy.low ? "none" : resistance.middle < SHORT ? "short" : "leak";
    return {
      verdict,
      healthy,
      resistance,
      current,
      power: watts,
      most_power: (supply.high * supply.high) / (4 * pullUp.low),
      heat: seenBy(watts.middle),
    };
  }

  /**
   * @param {number} supply
   * @param {number} pullUp
   * @param {number} meter
   */
  function level(supply, pullUp, meter) {
    return supply / (1 + pullUp / meter);
  }

  /**
   * The current that is left for the leak, in A.
   * @param {number} supply
   * @param {number} pullUp
   * @param {number} reading
   * @param {number} meter
   */
  function through(supply, pullUp, reading, meter) {
    return Math.max((supply - reading) / pullUp - reading / meter, 0);
  }

  /**
   * @param {number} volts
   * @param {number} amps
   */
  function ratio(volts, amps) {
    return amps > 0 ? volts / amps : Infinity;
  }

  /**
   * @param {number} supply
   * @param {number} pullUp
   * @param {Value} reading
   * @param {number} meter
   */
  function largest(supply, pullUp, reading, meter) {
    const top = supply / (2 * (1 + pullUp / meter));
    const inside = Math.min(Math.max(top, reading.low), reading.high);
    return Math.max(...[reading.low, inside, reading.high].map((v) => v * through(supply, pullUp, v, meter)));
  }

  /**
   * Settings for an injection into a short.
   * @param {Value} rail
   * @param {Value} short
   */
  function inject(rail, short) {
    positive("rail", rail);
    positive("short", short);
    const resistance = middleOf(short);
    if (resistance < LEAST_SHORT) {
      throw new Refusal(
        "short",
        "is less than leads and meter can show; write 0.01 ohm and start from there",
      );
    }
    const ceiling = rail.nominal === null ? rail.low : rail.nominal;
    const most = ceiling / resistance;
    const begin = Math.min(FIRST_VOLTS, ceiling);
    const limit = Math.min(Math.sqrt(FIRST_POWER / resistance), FIRST_LIMIT, most);
    const amps = Math.min(limit, begin / resistance);
    const startPower = amps * amps * resistance;
    const mostPower = ceiling * most;
    return {
      begin,
      limit,
      ceiling,
      start_volts: amps * resistance,
      start_amps: amps,
      start_power: startPower,
      most,
      most_power: mostPower,
      start_heat: seenBy(startPower),
      most_heat: seenBy(mostPower),
    };
  }

  /**
   * The current through a fuse, from the voltage across it.
   * @param {Value} drop
   * @param {Value} resistance
   * @param {Value | null} rating
   */
  function fuse(drop, resistance, rating) {
    notNegative("drop", drop);
    positive("resistance", resistance);
    if (rating) positive("rating", rating);
    const [d, r] = [middleOf(drop), middleOf(resistance)];
    const current = { low: drop.low / resistance.high, middle: d / r, high: drop.high / resistance.low };
    return {
      open: d >= OPEN_DROP,
      current,
      power: {
        low: (drop.low * drop.low) / resistance.high,
        middle: (d * d) / r,
        high: (drop.high * drop.high) / resistance.low,
      },
      share: rating ? current.middle / rating.low : null,
    };
  }

  /**
   * One calculation from what is typed. Throws Refusal.
   * @param {string} kind leak, inject or fuse
   * @param {Record<string, string>} given
   */
  function work(kind, given) {
    /**
     * @param {string} field
     * @param {string} unit
     */
    const read = (field, unit) => typed(field, given[field] || "", unit);
    if (kind === "leak") {
      return leak(read("supply", "V"), read("pull_up", "ohm"), read("reading", "V"), read("meter", "ohm"));
    }
    if (kind === "inject") return inject(read("rail", "V"), read("short", "ohm"));
    const rating = (given.rating || "").trim() ? () => read("rating", "A") : () => null;
    return fuse(read("drop", "V"), read("resistance", "ohm"), rating());
  }

  benchlore.calculators = { Refusal, typed, leak, inject, fuse, work };
})();
