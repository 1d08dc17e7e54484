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
    const { byRow, other } = seenBy(one, measure, reading);
    const known = one.reads[measure].of.map((row) => byRow[row]);
    known.push(other(benchlore.likelihood.HEALTHY));
    return known;
  }

  /** @type {WeakMap<BenchReading, {one: BenchCase, measure: string, byRow: number[], other: (healthy: number) => number}>} */
  const kept = new WeakMap();

  /**
   * p(reading | row) for each different row of the measurement, and of something else that so much is healthy of; kept
   * with the reading, for one answer asks several times.
   * @param {BenchCase} one
   * @param {string} measure
   * @param {BenchReading} reading
   */
  function seenBy(one, measure, reading) {
    const known = kept.get(reading);
    if (known && known.one === one && known.measure === measure) return known;
    const scale = one.scales[measure];
    const { weights, nothing } = benchlore.likelihood.outcomeWeights(scale, reading);
    const { BLUNDER, elsewhere } = benchlore.likelihood;
    const byRow = one.reads[measure].rows.map((row) => {
      let total = 0;
      for (let o = 0; o < row.length; o += 1) total += row[o] * weights[o];
      return (1 - BLUNDER) * total + BLUNDER * nothing;
    });
    const other = (/** @type {number} */ healthy) => elsewhere(scale, (o) => weights[o], nothing, healthy);
    const found = { one, measure, byRow, other };
    kept.set(reading, found);
    return found;
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
   * Probability of each fault, in order of id, and, last, of "not in the book": the sum over its ways of failing.
   * @param {BenchCase} one
   * @param {BenchEvidence} evidence
   * @returns {number[]}
   */
  function posterior(one, evidence) {
    return ofHypotheses(one, joint(one, evidence));
  }

  /**
   * The same from the probabilities of the columns.
   * @param {BenchCase} one
   * @param {ArrayLike<number>} weights
   * @returns {number[]}
   */
  function ofHypotheses(one, weights) {
    const found = benchlore.cases.folded(one.columns, weights);
    const total = found.reduce((all, weight) => all + weight, 0);
    return found.map((weight) => weight / total);
  }

  /**
   * Probability of each column: of each way of failing of each fault, and of something else.
   * Computed in logarithms and in the order of the ids: the order of the evidence changes nothing.
   * @param {BenchCase} one
   * @param {BenchEvidence} evidence
   * @returns {number[]}
   */
  function joint(one, evidence) {
    const { columns } = one;
    const before = one.prior.map(Math.log);
    for (const symptom of evidence.symptoms.slice().sort())
      (one.shows[symptom] || []).forEach((p, h) => {
        before[h] += Math.log(p);
      });
    const logs = benchlore.cases.spread(columns, before);
    columns.shares.forEach((share, c) => {
      logs[c] += Math.log(share);
    });
    const readings = evidence.readings.slice().sort((a, b) => (a.measure < b.measure ? -1 : 1));
    for (const taken of readings) add(logs, taken.seen, taken.measure, taken.reading);
    const gone = benchlore.cases.ruledOut(one, evidence.tried);
    const out = benchlore.cases.spread(columns, [...one.faults.map((_, h) => Number(gone.has(h))), 0]);
    let highest = -Infinity;
    logs.forEach((log, i) => {
      if (!out[i]) highest = Math.max(highest, log);
    });
    const weights = logs.map((log, i) => (out[i] ? 0 : Math.exp(log - highest)));
    const total = weights.reduce((all, weight) => all + weight, 0);
    return weights.map((weight) => weight / total);
  }

  /**
   * @param {number[]} logs of the columns
   * @param {BenchCase} one of the meter that took the reading
   * @param {string} measure
   * @param {BenchReading} reading
   */
  function add(logs, one, measure, reading) {
    const { byRow, other } = seenBy(one, measure, reading);
    const known = byRow.map(Math.log);
    const [first, ...others] = benchlore.likelihood.ELSEWHERE.map(([, healthy]) => Math.log(other(healthy)));
    one.reads[measure].columns.forEach((row, c) => {
      logs[c] += known[row];
    });
    others.forEach((log, n) => {
      logs[one.reads[measure].columns.length + n] += log;
    });
    logs[logs.length - 1] += first;
  }

  benchlore.posterior = { likelihoods, meaningless, posterior, ofHypotheses, joint };
})();
