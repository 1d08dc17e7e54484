/*
 * What no single hypothesis explains: two entries that contradict each other, and two faults at once, as in
 * tools/benchlore/diagnosis/conflict.py, which says why.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  /** Share of jobs with two faults that have nothing to do with each other. */
  const TWICE = 0.02;
  /** Likeliest hypotheses of which pairs are tried. */
  const PAIRED = 24;
  /** Probability from which a pair is named. */
  const LEAST = 0.05;
  /** Ohm; less than that of a rail cannot be told from the leads. */
  const LEADS = 0.1;

  /**
   * A reading as all hypotheses have it.
   * @typedef {object} Seen
   * @property {BenchSeen} taken
   * @property {readonly number[]} weights by outcome
   * @property {number} nothing when it means nothing
   * @property {readonly number[]} likely by hypothesis
   * @property {(h: number) => boolean} silent whether nobody knows what a hypothesis reads there
   */

  /** @type {(one: BenchCase, evidence: BenchEvidence) => Seen[]} */
  function seenBy(one, evidence) {
    return evidence.readings.map((taken) => {
      const { weights, nothing } = benchlore.likelihood.outcomeWeights(
        taken.seen.scales[taken.measure],
        taken.reading,
      );
      const likely = benchlore.posterior.likelihoods(taken.seen, taken.measure, taken.reading);
      const told = one.says[taken.measure];
      /** @param {number} h */
      const silent = (h) => h < one.faults.length && !told.has(h);
      return { taken, weights, nothing, likely, silent };
    });
  }

  /** @type {(seen: Seen, h: number) => boolean} */
  function foreseen(seen, h) {
    return seen.likely[h] >= seen.nothing;
  }

  /** @type {(seen: Seen, h: number) => boolean} */
  function explained(seen, h) {
    return seen.silent(h) || foreseen(seen, h);
  }

  /**
   * The pairs of entries that contradict each other, in the order taken.
   * @param {BenchCase} one
   * @param {BenchEvidence} evidence
   * @param {readonly number[]} probabilities
   * @returns {BenchContradiction[]}
   */
  function contradictions(one, evidence, probabilities) {
    const seen = seenBy(one, evidence);
    const by = seen.map((reading) => one.prior.map((_, h) => h).filter((h) => explained(reading, h)));
    const locks = benchlore.interlock.standing(evidence.readings);
    /** @param {string} id */
    const open = (id) => !benchlore.interlock.bars(locks, one.family.measurements[id].state);
    /** @type {BenchContradiction[]} */
    const found = [];
    seen.forEach((first, i) => {
      for (let j = i + 1; j < seen.length; j += 1) {
        const second = seen[j];
        if (!apart(one, first, second, by[i], by[j]) && !tooMuch(first, second)) continue;
        const wrong = [first, second].map((reading) => tie(blunder(reading, probabilities)));
        const order = wrong[1] > wrong[0] ? [second, first] : [first, second];
        const names = order.map((reading) => reading.taken.measure);
        found.push({
          readings: [first.taken.measure, second.taken.measure],
          again: names.filter((id) => !evidence.confirmed?.includes(id) && open(id)),
        });
      }
    });
    return found;
  }

  /**
   * Whether each of two readings is explained by something, and nothing explains both.
   * @param {BenchCase} one
   * @param {Seen} first
   * @param {Seen} second
   * @param {readonly number[]} by hypotheses that explain the first
   * @param {readonly number[]} also those that explain the second
   */
  function apart(one, first, second, by, also) {
    if (!by.length || !also.length || by.some((h) => also.includes(h))) return false;
    const last = one.faults.length;
    return !by.some(
      (f) =>
        f !== last &&
        also.some((g) => g !== last && pairExplains(one, first, f, g) && pairExplains(one, second, f, g)),
    );
  }

  /**
   * Whether the volts of a rail and its ohms come to more current than there can be.
   * @type {(first: Seen, second: Seen) => boolean}
   */
  function tooMuch(first, second) {
    return [
      [first.taken, second.taken],
      [second.taken, first.taken],
    ].some(([volts, ohms]) => {
      const amps = volts.seen.family.measurements[volts.measure].links.amps[ohms.measure];
      if (amps === undefined || volts.reading.value === null || ohms.reading.value === null) return false;
      const scale = ohms.seen.scales[ohms.measure];
      const sound = scale.normal.includes(benchlore.likelihood.classOf(scale, ohms.reading));
      return !sound && Math.abs(volts.reading.value) > amps * Math.max(Math.abs(ohms.reading.value), LEADS);
    });
  }

  /**
   * The pairs that explain what no single hypothesis does, the likeliest first.
   * @type {(one: BenchCase, evidence: BenchEvidence) => BenchBoth[]}
   */
  function perhapsBoth(one, evidence) {
    const seen = seenBy(one, evidence);
    const last = one.faults.length;
    const out = benchlore.cases.ruledOut(one, evidence.tried);
    const running = one.prior.map((_, h) => h).filter((h) => !out.has(h));
    if (seen.length < 2 || running.some((h) => seen.every((reading) => foreseen(reading, h)))) return [];
    const sorted = seen.slice().sort((a, b) => (a.taken.measure < b.taken.measure ? -1 : 1));
    const symptoms = evidence.symptoms.slice().sort();
    const logs = one.prior.map((p, h) => {
      let log = Math.log(p);
      for (const symptom of symptoms) log += Math.log(shown(one, symptom)[h]);
      for (const reading of sorted) log += Math.log(reading.likely[h]);
      return log;
    });
    const highest = running.reduce((best, h) => Math.max(best, logs[h]), -Infinity);
    let whole = 0;
    for (const h of running) whole += Math.exp(logs[h] - highest);
    whole *= 1 - TWICE;
    const tried = running
      .filter((h) => h !== last && seen.some((reading) => foreseen(reading, h)))
      .sort((a, b) => logs[b] - logs[a] || a - b)
      .slice(0, PAIRED)
      .sort((a, b) => a - b);
    const scale = pairsInAll(one);
    /** @type {{f: number, g: number, weight: number}[]} */
    const pairs = [];
    tried.forEach((f, n) => {
      for (const g of tried.slice(n + 1)) {
        if (!seen.every((reading) => pairForesees(one, reading, f, g))) continue;
        let log = Math.log((TWICE * one.prior[f] * one.prior[g]) / scale);
        for (const symptom of symptoms) {
          const row = shown(one, symptom);
          log += Math.log(1 - (1 - row[f]) * (1 - row[g]));
        }
        for (const reading of sorted) log += Math.log(ofPair(one, reading, f, g));
        const weight = Math.exp(log - highest);
        whole += weight;
        pairs.push({ f, g, weight });
      }
    });
    return pairs
      .map(({ f, g, weight }) => both(f, g, weight / whole))
      .filter(({ probability }) => probability >= LEAST)
      .sort(
        (a, b) => b.probability - a.probability || a.faults[0] - b.faults[0] || a.faults[1] - b.faults[1],
      );
  }

  /** @type {(f: number, g: number, probability: number) => BenchBoth} */
  function both(f, g, probability) {
    return { faults: [f, g], probability };
  }

  /** @type {(one: BenchCase, symptom: string) => readonly number[]} */
  function shown(one, symptom) {
    return /** @type {readonly number[]} */ (one.shows[symptom]);
  }

  /**
   * The sum of prior(f) prior(g) over all pairs.
   * @param {BenchCase} one
   */
  function pairsInAll(one) {
    let sum = 0;
    let squares = 0;
    for (const p of one.prior.slice(0, one.faults.length)) {
      sum += p;
      squares += p * p;
    }
    return (sum * sum - squares) / 2;
  }

  /**
   * p(reading | both faults): healthy where both are, abnormal as the one is that makes it so, and nothing known where
   * the two would make it differ.
   * @type {(one: BenchCase, seen: Seen, f: number, g: number) => number}
   */
  function ofPair(one, seen, f, g) {
    const { BLUNDER } = benchlore.likelihood;
    const rows = one.expected[seen.taken.measure];
    const { normal } = one.scales[seen.taken.measure];
    let sound = 0;
    let also = 0;
    for (const o of normal) {
      sound += rows[f][o];
      also += rows[g][o];
    }
    let told = 0;
    let known = 0;
    rows[f].forEach((p, o) => {
      const q = rows[g][o];
      const both = normal.includes(o) ? (p * also + q * sound) / 2 : p * also + q * sound + p * q;
      known += both;
      told += both * seen.weights[o];
    });
    told += Math.max(1 - known, 0) * seen.nothing;
    return (1 - BLUNDER) * told + BLUNDER * seen.nothing;
  }

  /** @type {(one: BenchCase, seen: Seen, f: number, g: number) => boolean} */
  function pairForesees(one, seen, f, g) {
    // What nobody knows explains nothing, but for rounding.
    return ofPair(one, seen, f, g) >= seen.nothing * (1 + 1e-9);
  }

  /**
   * Whether a pair explains a reading; one that is silent leaves it to the other.
   * @type {(one: BenchCase, seen: Seen, f: number, g: number) => boolean}
   */
  function pairExplains(one, seen, f, g) {
    if (seen.silent(f)) return explained(seen, g);
    return seen.silent(g) ? explained(seen, f) : pairForesees(one, seen, f, g);
  }

  /**
   * The probability that a reading means nothing, as all that is known has it.
   * @type {(seen: Seen, probabilities: readonly number[]) => number}
   */
  function blunder(seen, probabilities) {
    let found = 0;
    for (let h = 0; h < probabilities.length - 1; h += 1)
      found += (probabilities[h] * benchlore.likelihood.BLUNDER * seen.nothing) / seen.likely[h];
    return found;
  }

  /**
   * A value in whole steps: what differs by rounding only compares as equal, in every language.
   * @param {number} value
   */
  function tie(value) {
    return Math.floor(value / 1e-9 + 0.5);
  }

  benchlore.conflict = { contradictions, perhapsBoth };
})();
