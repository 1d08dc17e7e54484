/*
 * What the CC line of a USB-C port says.
 * The same arithmetic and words as tools/benchlore/circuit/cc_line.py, value for value.
 */
(function () {
  "use strict";
  const benchlore = /** @type {any} */ (window.benchlore);
  const { notNegative, middleOf, show, spread } = benchlore.calculators;
  /** @typedef {{ low: number, high: number, nominal: number | null }} Value */
  /* USB Type-C R2.0, table 4-36: windows and thresholds in V; the sink's pull-down in ohm, the pull-up's supply in V. */
  const WINDOWS = [
    { name: "default", low: 0.25, high: 0.61 },
    { name: "1.5 A", low: 0.7, high: 1.16 },
    { name: "3 A", low: 1.31, high: 2.04 },
  ];
  const THRESHOLDS = [0.66, 1.23];
  const RD = { low: 5.1e3 * 0.9, middle: 5.1e3, high: 5.1e3 * 1.1 };
  const SUPPLY = { low: 4.75, middle: 5, high: 5.5 };

  /**
   * What a sink with its pull-down makes of a reading on CC.
   * @param {{ reading: Value }} given
   */
  function work({ reading }) {
    notNegative("reading", reading);
    const volts = middleOf(reading);
    const none = { inside: true, window: null, pull_up: null };
    if (volts < WINDOWS[0].low) return { advertised: "nothing", ...none };
    if (volts > WINDOWS[2].high) return { advertised: "open", ...none };
    const { name, low, high } = WINDOWS[THRESHOLDS.filter((threshold) => volts >= threshold).length];
    return {
      advertised: name,
      inside: low <= reading.low && reading.high <= high,
      window: { low, middle: low + (high - low) / 2, high },
      pull_up: {
        low: RD.low * (SUPPLY.low / reading.high - 1),
        middle: RD.middle * (SUPPLY.middle / volts - 1),
        high: RD.high * (SUPPLY.high / reading.low - 1),
      },
    };
  }

  /** @type {(found: any) => [string, string][]} */
  function said(found) {
    if (found.advertised === "nothing")
      return [["Nothing advertised", "no pull-up behind the line, or it is shorted to ground"]];
    if (found.advertised === "open")
      return [
        ["Nothing pulls it down", "the line stands at its pull-up: no sink is seen, or its Rd is open"],
      ];
    const word =
      found.advertised === "default" ? "default USB current" : found.advertised.replace(" ", "\u00a0");
    const window = show(found.window.low, "V") + " to " + show(found.window.high, "V");
    return [
      ["Advertised", word + (found.inside ? "" : ", but the reading lies outside its window")],
      ["Its window", window],
      ["Pull-up behind it, to 5\u00a0V", spread(found.pull_up, "ohm")],
    ];
  }

  benchlore.calculators.kinds.cc = { work, said };
})();
