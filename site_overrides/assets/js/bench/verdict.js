/*
 * What a reading means for this meter: the probability of each outcome, and whether the meter can decide.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ (window.benchlore = window.benchlore || {});

  /** An outcome below this probability does not count as possible. */
  const POSSIBLE = 0.05;

  /**
   * @param {BenchCase} one
   * @param {string} measure
   * @param {BenchReading} reading
   * @returns {BenchVerdict}
   */
  function judge(one, measure, reading) {
    const scale = one.scales[measure];
    const index = benchlore.likelihood.classOf(scale, reading);
    const { weights } = benchlore.likelihood.outcomeWeights(scale, reading);
    const total = weights.reduce((all, weight) => all + weight, 0);
    const outcomes = weights.map((weight, n) => (total > 0 ? weight / total : n === index ? 1 : 0));
    const between = outcomes.map((_, n) => n).filter((n) => outcomes[n] >= POSSIBLE);
    const spread = reading.value === null ? 0 : benchlore.meter.accuracyLimit(scale.ranges, reading.value);
    return { index, outcomes, decided: between.length < 2, between, spread };
  }

  benchlore.verdict = { judge };
})();
