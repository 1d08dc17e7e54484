/*
 * The leak behind a low line.
 * The same arithmetic and words as tools/benchlore/circuit/leak.py, value for value.
 */
(function () {
  "use strict";
  const benchlore = /** @type {any} */ (window.benchlore);
  const { Refusal, positive, notNegative, middleOf, seenBy, show, spread, HEAT } = benchlore.calculators;
  /** @typedef {{ low: number, middle: number, high: number }} Estimate */
  /** @typedef {{ low: number, high: number, nominal: number | null }} Value */
  const SHORT = 1; // ohm; below this the leak is a short

  /**
   * The leak behind a reading on a line with a pull-up, read by a meter.
   * @param {{ supply: Value, pull_up: Value, meter: Value, reading: Value }} given
   */
  function work({ supply, pull_up: pullUp, meter, reading }) {
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

  /** @type {(supply: number, pullUp: number, meter: number) => number} */
  function level(supply, pullUp, meter) {
    return supply / (1 + pullUp / meter);
  }

  /**
   * The current that is left for the leak, in A.
   * @type {(supply: number, pullUp: number, reading: number, meter: number) => number}
   */
  function through(supply, pullUp, reading, meter) {
    return Math.max((supply - reading) / pullUp - reading / meter, 0);
  }

  /** @type {(volts: number, amps: number) => number} */
  function ratio(volts, amps) {
    return amps > 0 ? volts / amps : Infinity;
  }

  /** @type {(supply: number, pullUp: number, reading: Value, meter: number) => number} */
  function largest(supply, pullUp, reading, meter) {
    const top = supply / (2 * (1 + pullUp / meter));
    const inside = Math.min(Math.max(top, reading.low), reading.high);
    return Math.max(...[reading.low, inside, reading.high].map((v) => v * through(supply, pullUp, v, meter)));
  }

  /** @param {any} found */
  function said(found) {
    /** @type {[string, string]} */
    const healthy = ["A healthy line reads", spread(found.healthy, "V")];
    if (found.verdict === "none") return [["No leak", "the reading is healthy"], healthy];
    return [
      [found.verdict === "short" ? "Short to ground" : "Leak to ground", spread(found.resistance, "ohm")],
      ["It carries", spread(found.current, "A")],
      ["It takes", spread(found.power, "W") + ": " + HEAT[found.heat]],
      ["Any leak on this line takes at most", show(found.most_power, "W")],
      healthy,
    ];
  }

  benchlore.calculators.kinds.leak = { work, said };
})();
