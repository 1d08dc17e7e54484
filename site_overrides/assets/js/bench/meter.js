/*
 * A meter's standard uncertainty, and the normal distribution behind it, as in tools/benchlore/diagnosis/meter.py.
 * Values are in the base unit of the mode.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  const SQRT2 = Math.sqrt(2);
  const SQRT3 = Math.sqrt(3);
  const SQRT_PI = Math.sqrt(Math.PI);
  const SMALLEST = 1e-15;
  const MOST_APART = 1000;
  const TENTH = 0.1;
  const SERIES_UP_TO = 1.5;
  const FRACTION_TERMS = 90;

  /**
   * The complementary error function, for any argument; relative precision near 1e-13.
   *
   * Below 1.5 by the series of Abramowitz and Stegun 7.1.6, whose terms are all positive, above it by the continued
   * fraction 7.1.14, from its end.
   * @type {(x: number) => number}
   */
  function erfc(x) {
    if (x < 0) return 2 - erfc(-x);
    if (x === Infinity) return 0;
    if (x < SERIES_UP_TO) {
      let term = x;
      let sum = x;
      for (let n = 1; term > sum * 1e-17; n += 1) {
        term *= (2 * x * x) / (2 * n + 1);
        sum += term;
      }
      return 1 - (2 / SQRT_PI) * Math.exp(-x * x) * sum;
    }
    let tail = x;
    const terms = Math.ceil(FRACTION_TERMS / Math.max(1, x - 0.7));
    for (let n = terms; n >= 1; n -= 1) tail = x + n / 2 / tail;
    return Math.exp(-x * x) / (SQRT_PI * tail);
  }

  /**
   * P(low < Z < high) of a standard normal Z. Only erfc of a non-negative argument is subtracted from its like, so that
   * nothing cancels far out (Abramowitz and Stegun 26.2.29).
   * @type {(low: number, high: number) => number}
   */
  function normalBetween(low, high) {
    if (low > 0) return (erfc(low / SQRT2) - erfc(high / SQRT2)) / 2;
    if (high < 0) return (erfc(-high / SQRT2) - erfc(-low / SQRT2)) / 2;
    return 1 - erfc(high / SQRT2) / 2 - erfc(-low / SQRT2) / 2;
  }

  /**
   * The value of a quantity that has no width.
   * @param {BenchQuantity} quantity
   */
  function exact(quantity) {
    return quantity.high === null ? Infinity : quantity.high;
  }

  /**
   * The smallest range that shows a value, by magnitude; the largest range when none does.
   * @param {readonly BenchMeterRange[]} ranges smallest first, at least one
   * @param {number} value
   * @returns {BenchMeterRange}
   */
  function rangeFor(ranges, value) {
    const size = Math.abs(value);
    const found = ranges.find((range) => size <= exact(range.up_to)) || ranges[ranges.length - 1];
    return /** @type {BenchMeterRange} */ (found);
  }

  /** @param {readonly BenchMeterRange[]} ranges */
  function largestReading(ranges) {
    return ranges.reduce((most, range) => Math.max(most, exact(range.up_to)), -Infinity);
  }

  /**
   * The ranges that a meter has for a measurement, as `ranges_of` of diagnosis/meter.py: of a comparison in percent.
   * @type {(measurement: BenchMeasurement, meter: BenchMeter) => readonly BenchMeterRange[]}
   */
  function rangesOf(measurement, meter) {
    const ranges = measurement.links.unit === null ? [] : meter.accuracy[measurement.mode] || [];
    if (!measurement.compare || ranges.length === 0) return ranges;
    const shares = ranges.map((one) => (200 * one.counts * exact(one.resolution)) / exact(one.up_to));
    const counts = Math.max(Math.ceil((Math.sqrt(2) * Math.min(...shares)) / TENTH), 1);
    return [{ up_to: percent(MOST_APART), resolution: percent(TENTH), reading: 0, counts }];
  }

  /** @param {number} value */
  function percent(value) {
    return { text: value + " %", low: value, high: value, unit: "%" };
  }

  /**
   * Standard uncertainty (%) of 100 (one / other - 1): on one range the gain error of the meter cancels.
   * @type {(ranges: readonly BenchMeterRange[], one: number, other: number) => number}
   */
  function ratioUncertainty(ranges, one, other) {
    const same = rangeFor(ranges, one) === rangeFor(ranges, other);
    const shares = [one, other].map((value) => {
      const range = rangeFor(ranges, value);
      const limit = same ? range.counts * exact(range.resolution) : accuracyLimit(ranges, value);
      const own = Math.max(limit / SQRT3, exact(range.resolution) / 2 / SQRT3);
      return own / Math.max(Math.abs(value), exact(range.resolution));
    });
    return Math.max(100 * Math.abs(one / other) * Math.hypot(...shares), SMALLEST);
  }

  /**
   * Half width of the accuracy limits at a reading: percent of reading + counts x resolution.
   * @type {(ranges: readonly BenchMeterRange[], value: number) => number}
   */
  function accuracyLimit(ranges, value) {
    const range = rangeFor(ranges, value);
    return (Math.abs(value) * range.reading) / 100 + range.counts * exact(range.resolution);
  }

  /**
   * Standard uncertainty of a reading on the range that shows it: the accuracy limit over sqrt(3) (JCGM 100:2008 4.3.7),
   * and never less than that of the last digit.
   * @type {(ranges: readonly BenchMeterRange[], value: number) => number}
   */
  function standardUncertainty(ranges, value) {
    const digit = exact(rangeFor(ranges, value).resolution) / 2;
    return Math.max(accuracyLimit(ranges, value) / SQRT3, digit / SQRT3, SMALLEST);
  }

  benchlore.meter = {
    exact,
    normalBetween,
    rangeFor,
    largestReading,
    accuracyLimit,
    rangesOf,
    ratioUncertainty,
    standardUncertainty,
    MOST_APART,
  };
})();
