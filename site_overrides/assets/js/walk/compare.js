/*
 * What good boards read beside what the records say, as in tools/benchlore/walk/healthy.py.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WalkScripts} */ ((window.benchlore = window.benchlore || {}));
  const walks = (benchlore.walks = benchlore.walks || /** @type {WalkParts} */ ({}));
  const { accuracyLimit, largestReading } = benchlore.meter;

  /**
   * A reading with the meter's accuracy limit, or why it cannot be read.
   * @param {BenchMeasurement} measurement
   * @param {BenchMeter | undefined} meter
   * @param {string} text
   * @returns {WalkShown | BenchRefusal}
   */
  function show(measurement, meter, text) {
    if (!meter) return { reason: "the meter is not in the book", mend: "measure again", choices: [] };
    const reading = benchlore.reading.read(measurement, meter, text);
    if (benchlore.reading.refused(reading)) return reading;
    const ranges = benchlore.meter.rangesOf(measurement, meter);
    return { reading, meter, limit: reading.value === null ? 0 : accuracyLimit(ranges, reading.value) };
  }

  /** @type {(found: WalkShown | BenchRefusal) => found is WalkShown} */
  function isShown(found) {
    return "reading" in found;
  }

  /**
   * The ends of a reading: over range lies beyond the meter's largest.
   * @type {(measurement: BenchMeasurement, one: WalkShown) => readonly [number, number]}
   */
  function ends(measurement, { reading, meter }) {
    if (reading.value === null)
      return [largestReading(benchlore.meter.rangesOf(measurement, meter)), Infinity];
    return reading.span || [reading.value, reading.value];
  }

  /**
   * What some boards read, from end to end, the meter's error in it; null where outcomes were named.
   * @type {(measurement: BenchMeasurement, boards: readonly WalkShown[]) => WalkRange | null}
   */
  function rangeOf(measurement, boards) {
    if (boards.length === 0 || boards.some((one) => one.reading.outcome !== null)) return null;
    const found = boards.map((one) => ({ ends: ends(measurement, one), limit: one.limit }));
    const low = Math.min(...found.map(({ ends: [low], limit }) => low - limit));
    const high = Math.max(...found.map(({ ends: [, high], limit }) => high + limit));
    const least = benchlore.vocabulary.functions[measurement.mode]?.least ?? -Infinity;
    const middles = found.map(({ ends: [a, b] }) => (a + b) / 2).filter(Number.isFinite);
    return {
      low: Math.max(low, least),
      high,
      spread: boards.length > 1 && middles.length ? Math.max(...middles) - Math.min(...middles) : null,
      limit: Math.max(...boards.map((one) => one.limit)),
    };
  }

  /**
   * How a reading stands beside the healthy outcomes, and how far it is off, with its sign. "edge": outside, but by no
   * more than the meter's accuracy limit.
   * @type {(measurement: BenchMeasurement, one: WalkShown) => WalkJudged}
   */
  function judge(measurement, one) {
    const normal = Object.values(measurement.outcomes).filter((outcome) => outcome.normal);
    if (one.reading.outcome !== null) {
      const healthy = normal.some((outcome) => outcome.id === one.reading.outcome);
      return healthy ? { verdict: "agrees", off: 0 } : { verdict: "differs", off: Infinity };
    }
    const [low, high] = ends(measurement, one);
    const offs = normal.flatMap(({ range }) => (range ? [off(low, high, range)] : []));
    const nearest = offs.reduce((best, one) => (Math.abs(one) < Math.abs(best) ? one : best), Infinity);
    if (nearest === 0) return { verdict: "agrees", off: 0 };
    return { verdict: Math.abs(nearest) <= one.limit ? "edge" : "differs", off: nearest };
  }

  /** @type {(low: number, high: number, range: BenchQuantity) => number} */
  function off(low, high, range) {
    const open = range.low === null && range.high === null;
    const least = open ? Infinity : range.low === null ? -Infinity : range.low;
    const most = range.high === null ? Infinity : range.high;
    if (high === Infinity) return most === Infinity || least >= low ? 0 : Infinity;
    if (high > most) return high - most;
    return Math.min(low - least, 0);
  }

  /**
   * The outcome that a reading is; undefined where it lies between two, or none is known.
   * @type {(measurement: BenchMeasurement, one: WalkShown) => BenchOutcome | undefined}
   */
  function outcomeOf(measurement, one) {
    const known = Object.values(measurement.outcomes);
    if (one.reading.outcome !== null) return known.find((outcome) => outcome.id === one.reading.outcome);
    const [low, high] = ends(measurement, one);
    return known.find((outcome) => outcome.range && off(low, high, outcome.range) === 0);
  }

  walks.compare = { show, isShown, rangeOf, judge, outcomeOf };
})();
