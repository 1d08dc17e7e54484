/*
 * How likely a reading is under each outcome of a measurement, for one meter, as in
 * tools/benchlore/diagnosis/likelihood.py: the same names, the same constants, the same order of sums.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  const BLUNDER = 0.02;
  const ANYWHERE = 0.1;
  const OVER_RANGE = 0.1;
  const HEALTHY = 0.7;
  /** Ways of something else: their shares, and the share of their readings that is healthy. */
  const ELSEWHERE = [
    [2 / 3, 0.9],
    [1 / 3, 0.3],
  ];
  const OPEN_SHARE_UNPOWERED = 0.5;
  const OPEN_SHARE_POWERED = 0.05;
  /** Values that stand for an unsteady reading. */
  const PLACES = 16;
  /** Share of an outcome's readings that lie between it and a neighbour. */
  const EDGE = 0.025;
  const SQRT_2PI = Math.sqrt(2 * Math.PI);

  /**
   * A measurement seen through a meter; without ranges where the meter lacks that mode.
   * @param {BenchMeasurement} measurement
   * @param {BenchMeter} meter
   * @returns {BenchScale}
   */
  function scaleOf(measurement, meter) {
    const outcomes = Object.values(measurement.outcomes);
    const normal = outcomes.flatMap((outcome, place) => (outcome.normal ? [place] : []));
    const ranges = benchlore.meter.rangesOf(measurement, meter);
    if (ranges.length === 0) {
      const bands = outcomes.map((outcome) => band(outcome.id, 0, 0, 0, 0, 0, false));
      const none = { anywhere: 0, lowest: 0, highest: 0, overRange: OVER_RANGE, stray: 1 };
      return { bands, ranges, ...none, order: [], cuts: [], overClass: 0, normal };
    }
    const [least, most] = limitsOf(measurement);
    const top = Math.min(topOf(outcomes, ranges), most);
    const lowest = Math.max(-top, least);
    const limit = benchlore.meter.largestReading(ranges);
    const share = openShare(measurement);
    const bands = outcomes.map((outcome) => bandOf(outcome, least, top, limit, share));
    const order = bands.map((_, place) => place).filter((place) => bands[place].read);
    order.sort((i, j) => bands[i].floor - bands[j].floor || bands[i].ceiling - bands[j].ceiling || i - j);
    order.slice(1).forEach((place, n) => {
      const gap = Math.max(bands[place].floor - bands[order[n]].ceiling, 0);
      bands[order[n]] = { ...bands[order[n]], beyond: gap };
      bands[place] = { ...bands[place], under: gap };
    });
    const cuts = order.slice(1).map((place, n) => (bands[order[n]].ceiling + bands[place].floor) / 2);
    let overClass = 0;
    bands.forEach((candidate, place) => {
      const best = bands[overClass];
      if (candidate.over > best.over || (candidate.over === best.over && candidate.ceiling > best.ceiling))
        overClass = place;
    });
    return {
      bands,
      ranges,
      anywhere: 1 / (top - lowest),
      lowest,
      highest: top,
      order,
      cuts,
      overClass,
      normal,
      overRange: measurement.compare ? 0 : OVER_RANGE,
      stray: 1,
    };
  }

  /**
   * Between what a true reading lies; one that is compared, from 100 % below the other.
   * @param {BenchMeasurement} measurement
   * @returns {readonly [number, number]}
   */
  function limitsOf(measurement) {
    if (measurement.compare) return [-100, Infinity];
    const { least, most } = functionOf(measurement);
    return [least === null ? -Infinity : least, most === null ? Infinity : most];
  }

  /** @param {BenchMeasurement} measurement */
  function functionOf(measurement) {
    return /** @type {VocabularyFunction} */ (benchlore.vocabulary.functions[measurement.mode]);
  }

  /**
   * The share of an outcome `over a` that reads over-range; none where `open` is an outcome of its own, and none of a
   * comparison: what is over the range in one half is read as the outcome that it means.
   * @param {BenchMeasurement} measurement
   */
  function openShare(measurement) {
    if (measurement.compare || Object.values(measurement.outcomes).some(({ range }) => isOpen(range)))
      return 0;
    return functionOf(measurement).power === "off" ? OPEN_SHARE_UNPOWERED : OPEN_SHARE_POWERED;
  }

  /**
   * The end of the smallest range that shows every finite end of the outcomes.
   * @param {readonly BenchOutcome[]} outcomes
   * @param {readonly BenchMeterRange[]} ranges
   */
  function topOf(outcomes, ranges) {
    let most = 0;
    for (const outcome of outcomes) {
      for (const end of outcome.range ? [lowOf(outcome.range), highOf(outcome.range)] : [])
        if (Number.isFinite(end)) most = Math.max(most, Math.abs(end));
    }
    return benchlore.meter.exact(benchlore.meter.rangeFor(ranges, most).up_to);
  }

  /**
   * Whether a range is the over-range reading `open`: neither end is a number.
   * @param {BenchQuantity | null} range
   */
  function isOpen(range) {
    return range !== null && range.low === null && range.high === null;
  }

  /** @param {BenchQuantity} range */
  function lowOf(range) {
    if (isOpen(range)) return Infinity;
    return range.low === null ? -Infinity : range.low;
  }

  /** @param {BenchQuantity} range */
  function highOf(range) {
    return range.high === null ? Infinity : range.high;
  }

  /**
   * @param {BenchOutcome} outcome
   * @param {number} least
   * @param {number} top
   * @param {number} limit
   * @param {number} share
   * @returns {BenchBand}
   */
  function bandOf(outcome, least, top, limit, share) {
    if (outcome.range === null) return band(outcome.id, 0, 0, 0, 0, 0, false);
    const low = lowOf(outcome.range);
    const high = highOf(outcome.range);
    if (isOpen(outcome.range) || low >= limit) return band(outcome.id, low, high, limit, limit, 1, false);
    if (high === Infinity)
      return band(outcome.id, low, high, low, top > low ? top : (low + limit) / 2, share, true);
    if (low === -Infinity) {
      if (high > 0) return band(outcome.id, -high, high, 0, high, 0, true);
      const floor = least < high ? Math.max(high - top, least) : high - top;
      return band(outcome.id, low, high, floor, high, 0, true);
    }
    return band(outcome.id, low, high, low, high, high > limit ? (high - limit) / (high - low) : 0, true);
  }

  /**
   * @param {string} outcome
   * @param {number} low
   * @param {number} high
   * @param {number} floor
   * @param {number} ceiling
   * @param {number} over
   * @param {boolean} read
   * @returns {BenchBand}
   */
  function band(outcome, low, high, floor, ceiling, over, read) {
    return { outcome, low, high, floor, ceiling, over, read, under: 0, beyond: 0 };
  }

  /**
   * p(value | outcome), per base unit: uniform over the band, plus the meter's normal error; and a share that falls
   * from its ends to nothing at the next band.
   * @param {BenchBand} one
   * @param {number} value
   * @param {number} u
   */
  function bandDensity(one, value, u) {
    if (!one.read) return 0;
    const share = 1 - one.over;
    const beside = falling(value - one.ceiling, one.beyond) + falling(one.floor - value, one.under);
    return share * (inside(one) * own(one, value, u) + EDGE * beside);
  }

  /**
   * The density without what lies between the bands.
   * @param {BenchBand} one
   * @param {number} value
   * @param {number} u
   */
  function own(one, value, u) {
    const width = one.ceiling - one.floor;
    if (width <= 0) {
      const z = (value - one.floor) / u;
      return Math.exp((-z * z) / 2) / (u * SQRT_2PI);
    }
    return benchlore.meter.normalBetween((one.low - value) / u, (one.high - value) / u) / width;
  }

  /**
   * The share of an outcome's readings within its ends.
   * @param {BenchBand} one
   */
  function inside(one) {
    return 1 - EDGE * (Number(one.under > 0) + Number(one.beyond > 0));
  }

  /**
   * @param {number} distance
   * @param {number} gap
   */
  function falling(distance, gap) {
    return distance > 0 && distance < gap ? (2 * (1 - distance / gap)) / gap : 0;
  }

  /**
   * p(reading | outcome) for each outcome, and p(reading) when it means nothing, which is never zero.
   * @param {BenchScale} scale
   * @param {BenchReading} reading
   * @returns {{weights: number[], nothing: number}}
   */
  function outcomeWeights(scale, reading) {
    const count = scale.bands.length;
    if (reading.outcome !== null) {
      return {
        weights: scale.bands.map((one) => (one.outcome === reading.outcome ? 1 : 0)),
        nothing: 1 / count,
      };
    }
    let weights;
    let anywhere = OVER_RANGE;
    if (reading.value === null) {
      weights = scale.bands.map((one) => one.over);
    } else {
      const places = reading.span ? along(...reading.span) : [reading.value];
      const shown = places.map((x) => ({
        x,
        u: reading.u || benchlore.meter.standardUncertainty(scale.ranges, x),
      }));
      weights = scale.bands.map((one) => sum(shown.map(({ x, u }) => bandDensity(one, x, u))) / shown.length);
      anywhere = (1 - scale.overRange) * scale.anywhere;
    }
    return { weights, nothing: (1 - ANYWHERE) * (sum(weights) / count) + ANYWHERE * anywhere };
  }

  /**
   * What a board with something else at fault makes of a reading, or of a class: mostly healthy, else like one that
   * means nothing; where a look shows a part itself, less of the latter.
   * @param {BenchScale} scale
   * @param {(outcome: number) => number} ofOutcome
   * @param {number} nothing
   * @param {number} [share] of its readings that is healthy
   */
  function elsewhere(scale, ofOutcome, nothing, share = HEALTHY) {
    const { normal } = scale;
    if (normal.length === 0) return nothing;
    const healthy = sum(normal.map(ofOutcome)) / normal.length;
    const amiss = (1 - share) * scale.stray;
    return (1 - amiss) * healthy + amiss * nothing;
  }

  /**
   * Places spread evenly between two ends, which stand for an unsteady reading.
   * @param {number} low
   * @param {number} high
   */
  function along(low, high) {
    return Array.from({ length: PLACES }, (_, n) => low + ((high - low) * (n + 0.5)) / PLACES);
  }

  /**
   * The outcome that a reading is taken for, by index: the one that holds it, else the nearest.
   * @param {BenchScale} scale
   * @param {BenchReading} reading
   */
  function classOf(scale, reading) {
    if (reading.outcome !== null) return scale.bands.findIndex((one) => one.outcome === reading.outcome);
    if (reading.value === null || scale.order.length === 0) return scale.overClass;
    const value = reading.value;
    return scale.order[scale.cuts.filter((cut) => cut <= value).length];
  }

  /**
   * P(taken for outcome j | true outcome i) with this meter, as [i][j].
   * @param {BenchScale} scale
   */
  function classTable(scale) {
    return scale.bands.map((one, place) => classRow(scale, one, place));
  }

  /**
   * @param {BenchScale} scale
   * @param {BenchBand} one
   * @param {number} index
   */
  function classRow(scale, one, index) {
    const row = scale.bands.map(() => 0);
    if (!one.read) {
      row[one.over > 0 ? scale.overClass : index] = 1;
      return row;
    }
    row[scale.overClass] = row[scale.overClass] + one.over;
    let below = 0;
    scale.order.forEach((place, n) => {
      const cut = scale.cuts[n];
      const upto = cut === undefined ? 1 : shareBelow(scale, one, cut);
      row[place] = row[place] + (1 - one.over) * inside(one) * (upto - below);
      below = upto;
    });
    const at = scale.order.indexOf(index);
    for (const [gap, beside] of [
      [one.under, at - 1],
      [one.beyond, at + 1],
    ]) {
      if (gap <= 0) continue; // a quarter of what falls to nothing lies beyond the middle
      row[index] = row[index] + ((1 - one.over) * EDGE * 3) / 4;
      const other = scale.order[beside];
      row[other] = row[other] + ((1 - one.over) * EDGE) / 4;
    }
    return row;
  }

  /**
   * @param {BenchScale} scale
   * @param {BenchBand} one
   * @param {number} cut
   */
  function shareBelow(scale, one, cut) {
    const u = benchlore.meter.standardUncertainty(scale.ranges, cut);
    const width = one.ceiling - one.floor;
    if (width <= 0) return benchlore.meter.normalBetween(-Infinity, (cut - one.floor) / u);
    const share = (u / width) * (integral((cut - one.floor) / u) - integral((cut - one.ceiling) / u));
    return Math.min(Math.max(share, 0), 1);
  }

  /** @param {number} z */
  function integral(z) {
    return z * benchlore.meter.normalBetween(-Infinity, z) + Math.exp((-z * z) / 2) / SQRT_2PI;
  }

  /**
   * P(taken for outcome j) of a reading that means nothing.
   * @param {BenchScale} scale
   * @param {readonly (readonly number[])[]} table
   */
  function meaninglessClasses(scale, table) {
    const count = scale.bands.length;
    const mean = scale.bands.map((_, j) => sum(table.map((row) => row[j])) / count);
    if (scale.ranges.length === 0 || scale.order.length === 0) return mean;
    const anywhere = scale.bands.map(() => 0);
    anywhere[scale.overClass] = anywhere[scale.overClass] + scale.overRange;
    let below = scale.lowest;
    scale.order.forEach((place, n) => {
      const cut = scale.cuts[n];
      const upto = Math.min(Math.max(cut === undefined ? scale.highest : cut, below), scale.highest);
      anywhere[place] = anywhere[place] + (1 - scale.overRange) * (upto - below) * scale.anywhere;
      below = upto;
    });
    return mean.map((m, j) => (1 - ANYWHERE) * m + ANYWHERE * anywhere[j]);
  }

  /** @param {readonly number[]} values */
  function sum(values) {
    let total = 0;
    for (const value of values) total += value;
    return total;
  }

  benchlore.likelihood = {
    BLUNDER,
    HEALTHY,
    ELSEWHERE,
    limitsOf,
    scaleOf,
    outcomeWeights,
    elsewhere,
    classOf,
    classTable,
    meaninglessClasses,
  };
})();
