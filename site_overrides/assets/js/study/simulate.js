/*
 * Hidden faults and readings, drawn as the diagnosis says that they come about: see tools/benchlore/diagnosis.
 * What a board reads belongs to the job's seed; how far the meter is off belongs to each reading.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));

  /*
   * A reading that means nothing has its share of every measurement, of looks, too: the likelihood counts on it, since
   * a wrong place is looked at as a wrong point is probed (tools/benchlore/diagnosis/likelihood.py, BLUNDER).
   */

  /** Share within the readings that mean nothing, as in likelihood.js. */
  const ANYWHERE = 0.1;
  const TRIES = 60;

  /**
   * The hidden hypothesis of a job, by its index: from the priors, given the symptom. The last is "not in the book".
   * @type {(one: BenchCase, symptom: string, seed: string) => number}
   */
  function hidden(one, symptom, seed) {
    const probabilities = benchlore.posterior.posterior(one, {
      symptoms: [symptom],
      readings: [],
      tried: [],
    });
    return study.random.stream(seed, "hidden", symptom).pick(probabilities);
  }

  /**
   * The way in which the board of a job failed, as the column of its hypothesis: the same for all that is measured.
   * @type {(one: BenchCase, fault: number, seed: string) => number}
   */
  function wayOf({ columns }, fault, seed) {
    const last = columns.shares.length - 1;
    const mine = [fault < columns.count ? fault : last];
    columns.extra.forEach((h, n) => {
      if (h === fault) mine.push(columns.count + n);
    });
    const chance = study.random.stream(seed, "way");
    return mine[chance.pick(mine.map((c) => columns.shares[c]))];
  }

  /**
   * The outcome that the board has at a measurement, by its index: the same however often it is measured.
   * @type {(one: BenchCase, measure: string, fault: number, seed: string) => number}
   */
  function outcomeOf(one, measure, fault, seed) {
    const chance = study.random.stream(seed, "outcome", measure);
    const { rows, columns } = one.reads[measure];
    if (fault < one.faults.length) return chance.pick(rows[columns[wayOf(one, fault, seed)]]);
    const { normal, bands } = one.scales[measure];
    return isHealthy(one, measure, seed) ? normal[chance.index(normal.length)] : chance.index(bands.length);
  }

  /**
   * Whether a board with something else at fault is healthy at a measurement: most of it is.
   * @type {(one: BenchCase, measure: string, seed: string) => boolean}
   */
  function isHealthy(one, measure, seed) {
    const chance = study.random.stream(seed, "healthy", measure);
    const { ELSEWHERE } = benchlore.likelihood;
    const way = wayOf(one, one.faults.length, seed);
    const known = one.reads[measure].columns.length;
    const [, healthy] = ELSEWHERE[way === one.columns.shares.length - 1 ? 0 : way - known + 1];
    const { normal, stray } = one.scales[measure];
    return normal.length > 0 && chance.uniform() < healthy + (1 - healthy) * (1 - stray);
  }

  /**
   * What the meter shows when a board with the hidden hypothesis is measured for the nth time.
   * @param {BenchCase} one
   * @param {string} measure
   * @param {number} fault
   * @param {string} seed
   * @param {number} time 0 for the first time
   * @returns {StudyTaken}
   */
  function reading(one, measure, fault, seed, time) {
    const chance = study.random.stream(seed, "reading", measure, time);
    const outcome = outcomeOf(one, measure, fault, seed);
    const known = fault < one.faults.length;
    const blunder = known && chance.uniform() < benchlore.likelihood.BLUNDER;
    if (!blunder && (known || isHealthy(one, measure, seed)))
      return { reading: ofOutcome(one, measure, outcome, chance), outcome, blunder };
    const scale = one.scales[measure];
    if (scale.ranges.length && chance.uniform() < ANYWHERE)
      return { reading: anywhere(one, measure, chance), outcome, blunder };
    const shown = blunder ? chance.index(scale.bands.length) : outcome;
    return { reading: ofOutcome(one, measure, shown, chance), outcome, blunder };
  }

  /** @type {(one: BenchCase, measure: string, chance: StudyChance) => BenchReading} */
  function anywhere(one, measure, chance) {
    const scale = one.scales[measure];
    if (chance.uniform() < scale.overRange) return { value: null, outcome: null };
    return shown(one, measure, scale.lowest + chance.uniform() * (scale.highest - scale.lowest));
  }

  /**
   * A reading of one outcome: a true value within it, and the meter's normal error about that.
   * @type {(one: BenchCase, measure: string, index: number, chance: StudyChance) => BenchReading}
   */
  function ofOutcome(one, measure, index, chance) {
    const scale = one.scales[measure];
    const band = scale.bands[index];
    if (!band.read && band.over === 0) return { value: null, outcome: band.outcome };
    if (chance.uniform() < band.over) return { value: null, outcome: null };
    const truth = band.floor + chance.uniform() * (band.ceiling - band.floor);
    return shown(
      one,
      measure,
      truth + chance.normal() * benchlore.meter.standardUncertainty(scale.ranges, truth),
    );
  }

  /**
   * A value as the meter shows it: in steps of its resolution, over-range beyond its largest range. Of two readings
   * that are compared, which are never over-range, it ends with the scale: at 100 % below the other.
   * @type {(one: BenchCase, measure: string, value: number) => BenchReading}
   */
  function shown(one, measure, value) {
    const { ranges, lowest, highest } = one.scales[measure];
    const measurement = one.family.measurements[measure];
    const [least, most] = measurement.compare
      ? [lowest, highest]
      : benchlore.likelihood.limitsOf(measurement);
    const held = Math.min(Math.max(value, least), most);
    if (Math.abs(held) > benchlore.meter.largestReading(ranges)) return { value: null, outcome: null };
    const resolution = benchlore.meter.exact(benchlore.meter.rangeFor(ranges, held).resolution);
    const steps = Math.round(held / resolution);
    return { value: Number((steps * resolution).toPrecision(12)), outcome: null };
  }

  /**
   * A reading of one outcome that the meter decides for it: drawn until it does.
   * @type {(one: BenchCase, measure: string, index: number, chance: StudyChance) => BenchReading}
   */
  function clear(one, measure, index, chance) {
    let found = ofOutcome(one, measure, index, chance);
    for (let n = 0; n < TRIES; n += 1) {
      const said = benchlore.verdict.judge(one, measure, found);
      if (said.kind === "decided" && said.index === index) return found;
      found = ofOutcome(one, measure, index, chance);
    }
    return middle(one, measure, index);
  }

  /** @type {(one: BenchCase, measure: string, index: number) => BenchReading} */
  function middle(one, measure, index) {
    const band = one.scales[measure].bands[index];
    return band.read ? shown(one, measure, (band.floor + band.ceiling) / 2) : { value: null, outcome: null };
  }

  /**
   * A reading within a span where the meter cannot decide.
   * @type {(one: BenchCase, measure: string, span: readonly number[], chance: StudyChance) => BenchReading}
   */
  function doubtful(one, measure, span, chance) {
    for (let n = 0; n < TRIES; n += 1) {
      const found = shown(one, measure, span[0] + chance.uniform() * (span[1] - span[0]));
      if (benchlore.verdict.judge(one, measure, found).kind === "undecided") return found;
    }
    return shown(one, measure, (span[0] + span[1]) / 2);
  }

  study.simulate = { hidden, outcomeOf, reading, ofOutcome, clear, doubtful };
})();
