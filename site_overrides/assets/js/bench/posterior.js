/*
 * How likely each fault is, given symptoms, readings and fixes that did not help, as in
 * tools/benchlore/diagnosis/posterior.py. Each reading is seen through the meter that took it.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  /**
   * p(reading | hypothesis) for each fault and, last, for something else; never zero.
   * @param {BenchCase} one
   * @param {string} measure
   * @param {BenchReading} reading
   * @returns {number[]}
   */
  function likelihoods(one, measure, reading) {
    const scale = /** @type {BenchScale} */ (one.scales[measure]);
    const { weights, nothing } = benchlore.likelihood.outcomeWeights(scale, reading);
    const blunder = benchlore.likelihood.BLUNDER;
    const floor = blunder * nothing;
    const known = /** @type {number[][]} */ (one.expected[measure]).map((row) => {
      let total = 0;
      row.forEach((p, o) => (total += p * /** @type {number} */ (weights[o])));
      return (1 - blunder) * total + floor;
    });
    known.push(benchlore.likelihood.elsewhere(scale, (o) => weights[o], nothing));
    return known;
  }

  /**
   * p(reading) of one that means nothing: a fault that makes it less likely does not explain it.
   * @param {BenchCase} one
   * @param {string} measure
   * @param {BenchReading} reading
   */
  function meaningless(one, measure, reading) {
    return benchlore.likelihood.outcomeWeights(one.scales[measure], reading).nothing;
  }

  /**
   * Probability of each fault, in order of id, and, last, of "not in the book".
   * Computed in logarithms and in the order of the ids: the order of the evidence changes nothing.
   * @param {BenchCase} one
   * @param {BenchEvidence} evidence
   * @returns {number[]}
   */
  function posterior(one, evidence) {
    const logs = one.prior.map(Math.log);
    for (const symptom of evidence.symptoms.slice().sort()) add(logs, one.shows[symptom] || []);
    const readings = evidence.readings.slice().sort((a, b) => (a.measure < b.measure ? -1 : 1));
    for (const taken of readings) add(logs, likelihoods(taken.seen, taken.measure, taken.reading));
    const out = one.faults.map((name) => evidence.tried.includes(name));
    let highest = -Infinity;
    logs.forEach((log, i) => {
      if (!out[i]) highest = Math.max(highest, log);
    });
    const weights = logs.map((log, i) => (out[i] ? 0 : Math.exp(log - highest)));
    const total = weights.reduce((all, weight) => all + weight, 0);
    return weights.map((weight) => weight / total);
  }

  /**
   * @param {number[]} logs
   * @param {readonly number[]} factors
   */
  function add(logs, factors) {
    factors.forEach((factor, i) => {
      logs[i] = /** @type {number} */ (logs[i]) + Math.log(factor);
    });
  }

  benchlore.posterior = { likelihoods, meaningless, posterior };
})();
