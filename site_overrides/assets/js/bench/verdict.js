/*
 * What one reading says by itself: which outcome it is, and whether the meter can tell, as in
 * tools/benchlore/diagnosis/verdict.py.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  /** Probability from which an outcome counts as decided. */
  const DECIDED = 0.95;
  /** Standard uncertainties from the nearest outcome at which a reading fits none. */
  const FAR = 3;

  /** @type {(one: BenchCase, measure: string, reading: BenchReading) => BenchVerdict} */
  function judge(one, measure, reading) {
    const scale = one.scales[measure];
    const taken = benchlore.likelihood.classOf(scale, reading);
    const { weights } = benchlore.likelihood.outcomeWeights(scale, reading);
    const total = weights.reduce((all, weight) => all + weight, 0);
    const spread = reading.value === null ? 0 : benchlore.meter.accuracyLimit(scale.ranges, reading.value);
    if (!(total > 0) || far(scale, reading)) {
      return {
        kind: "outside",
        index: taken,
        outcomes: weights.map(() => 0),
        between: [],
        beside: false,
        spread,
      };
    }
    const beside = outsideEach(scale, reading);
    const outcomes = weights.map((weight) => weight / total);
    const order = outcomes.map((_, place) => place).sort((a, b) => outcomes[b] - outcomes[a] || a - b);
    // Beside a wide outcome a narrow one may be likelier further off; then nothing is decided.
    const nearest = order[0] === taken;
    if (nearest && (order.length < 2 || outcomes[taken] >= DECIDED)) {
      return { kind: "decided", index: taken, outcomes, between: [taken], beside, spread };
    }
    return {
      kind: "undecided",
      index: taken,
      outcomes,
      between: [order[0], nearest ? order[1] : taken],
      beside,
      spread,
    };
  }

  /**
   * The outcomes that a reading may be, by index: all that leave it undecided; none where it fits none.
   * @type {(one: BenchCase, measure: string, reading: BenchReading) => number[]}
   */
  function possible(one, measure, reading) {
    const { outcomes } = judge(one, measure, reading);
    return outcomes.flatMap((share, index) => (share > 1 - DECIDED ? [index] : []));
  }

  /**
   * True when a value lies more than FAR standard uncertainties outside all outcomes, not between two.
   * @type {(scale: BenchScale, reading: BenchReading) => boolean}
   */
  function far(scale, reading) {
    if (reading.value === null) return false;
    const { low, high, reach } = reached(scale, reading.value, reading.span);
    const read = scale.bands.filter((band) => band.read);
    return read.every((band) => high < band.low - reach) || read.every((band) => low > band.high + reach);
  }

  /**
   * True when a value lies more than FAR standard uncertainties outside every outcome.
   * @type {(scale: BenchScale, reading: BenchReading) => boolean}
   */
  function outsideEach(scale, reading) {
    if (reading.value === null) return false;
    const { low, high, reach } = reached(scale, reading.value, reading.span);
    return scale.bands.every((band) => !band.read || high < band.low - reach || low > band.high + reach);
  }

  /**
   * @param {BenchScale} scale
   * @param {number} value
   * @param {BenchReading["span"]} span
   */
  function reached(scale, value, span) {
    const [low, high] = span || [value, value];
    return { low, high, reach: FAR * benchlore.meter.standardUncertainty(scale.ranges, value) };
  }

  benchlore.verdict = { judge, possible };
})();
