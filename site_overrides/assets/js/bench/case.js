/*
 * The numbers of one family, revision and meter, computed once, as in tools/benchlore/diagnosis/case.py and minutes.py.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  /** @type {Record<string, number>} */
  const SHOWS = { always: 0.95, often: 0.6, sometimes: 0.25 };
  const NOT_LISTED = 0.005;
  const LEAST_UNKNOWN = 0.02;
  const MOST_UNKNOWN = 0.3;
  /** @type {BenchSetUp} */
  const NOTHING = { state: null, unplugged: [] };

  /** @type {WeakMap<BenchFamily, Map<string, BenchCase>>} */
  const kept = new WeakMap();

  /**
   * The case of a family, a revision (empty: any) and a meter; computed once and kept.
   * @param {BenchBook} book
   * @param {BenchFamily} family
   * @param {string} revision
   * @param {string} meter
   * @returns {BenchCase}
   */
  function caseOf(book, family, revision, meter) {
    const cases = kept.get(family) || new Map();
    kept.set(family, cases);
    const key = revision + "/" + meter;
    const found = cases.get(key) || make(book, family, revision, meter);
    cases.set(key, found);
    return found;
  }

  /**
   * @param {BenchBook} book
   * @param {BenchFamily} family
   * @param {string} revision
   * @param {string} meterId
   * @returns {BenchCase}
   */
  function make(book, family, revision, meterId) {
    const meter = book.meters[meterId];
    if (!meter) throw new Error("The book has no meter '" + meterId + "'.");
    const faults = Object.keys(family.faults)
      .sort()
      .map((id) => family.faults[id])
      .filter((fault) => !revision || fault.links.revisions.includes(revision));
    const prior = priors(faults.map((fault) => fault.seen));
    const measures = Object.keys(family.measurements)
      .sort()
      .filter((id) => reachable(family, id, revision));
    /** @type {Record<string, BenchScale>} */
    const scales = Object.create(null);
    /** @type {Record<string, number[][]>} */
    const expected = Object.create(null);
    /** @type {Record<string, boolean[]>} */
    const stated = Object.create(null);
    for (const id of measures) {
      const scale = benchlore.likelihood.scaleOf(family.measurements[id], meter);
      scales[id] = scale;
      const rows = faults.map((fault) => statedRow(fault, id, scale));
      stated[id] = rows.map((row) => row !== null);
      expected[id] = expectations(rows, prior, scale);
    }
    /** @type {Record<string, number[]>} */
    const shows = Object.create(null);
    for (const symptom of Object.keys(book.symptoms)) shows[symptom] = showsOf(faults, prior, symptom);
    const setUps = [NOTHING];
    for (const needed of [
      ...measures.map((id) => setUpOf(family, id)),
      ...faults.map((f) => proofSetUp(family, f)),
    ]) {
      if (!setUps.some((known) => sameSetUp(known, needed))) setUps.push(needed);
    }
    const names = faults.map((fault) => fault.id);
    const bench = benchOf(book, family, faults, measures, scales, expected, stated, setUps);
    return {
      book,
      family,
      revision,
      meter,
      meterId,
      faults: names,
      prior,
      shows,
      scales,
      expected,
      stated,
      setUps,
      bench,
    };
  }

  /**
   * False when the test point does not exist on the revision.
   * @param {BenchFamily} family
   * @param {string} measure
   * @param {string} revision
   */
  function reachable(family, measure, revision) {
    const point = family.test_points[family.measurements[measure].at];
    return !point || !revision || revision in point.locator;
  }

  /**
   * Prior probabilities of faults seen so many times and, last, of "not in the book".
   * @param {readonly number[]} counts
   */
  function priors(counts) {
    const jobs = sum(counts);
    const once = counts.filter((count) => count === 1).length;
    const unknown = jobs ? Math.min(Math.max(once / jobs, LEAST_UNKNOWN), MOST_UNKNOWN) : MOST_UNKNOWN;
    if (counts.length === 0) return [1];
    const whole = jobs + counts.length / 2;
    return counts.map((count) => ((1 - unknown) * (count + 0.5)) / whole).concat([unknown]);
  }

  /**
   * P(symptom | hypothesis).
   * @param {readonly BenchFault[]} faults
   * @param {readonly number[]} prior
   * @param {string} symptom
   */
  function showsOf(faults, prior, symptom) {
    const shown = faults.map((fault) => {
      const often = fault.symptom[symptom];
      return often === undefined ? NOT_LISTED : SHOWS[often] || NOT_LISTED;
    });
    const known = sum(prior.slice(0, -1));
    const mean = known > 0 ? sum(shown.map((s, i) => prior[i] * s)) / known : NOT_LISTED;
    return shown.concat([mean]);
  }

  /**
   * What a fault's record expects of a measurement: shares by outcome.
   * @param {BenchFault} fault
   * @param {string} measure
   */
  function expectedReading(fault, measure) {
    return fault.test_points.find((one) => one.measure === measure)?.expected_reading;
  }

  /**
   * @param {BenchFault} fault
   * @param {string} measure
   * @param {BenchScale} scale
   * @returns {number[] | null}
   */
  function statedRow(fault, measure, scale) {
    const stated = expectedReading(fault, measure);
    if (!stated) return null;
    const row = scale.bands.map((band) => stated[band.outcome] || 0);
    const total = sum(row);
    return total > 0 ? row.map((p) => p / total) : null;
  }

  /**
   * P(outcome | fault) for all faults; a silent one reads as the mixture of those that state it and of something else.
   * @param {readonly (number[] | null)[]} rows
   * @param {readonly number[]} prior
   * @param {BenchScale} scale
   */
  function expectations(rows, prior, scale) {
    const size = scale.bands.length;
    let weight = 0;
    rows.forEach((row, i) => {
      if (row) weight += prior[i];
    });
    const unknown = prior[prior.length - 1];
    weight += unknown;
    /** @type {number[]} */
    const silent = [];
    for (let o = 0; o < size; o += 1) {
      let mixed = 0;
      rows.forEach((row, i) => {
        if (row) mixed += prior[i] * row[o];
      });
      const other = benchlore.likelihood.elsewhere(scale, (i) => Number(i === o), 1 / size);
      silent.push((mixed + unknown * other) / weight);
    }
    return rows.map((row) => row || silent);
  }

  /**
   * @param {BenchFamily} family
   * @param {string} measure
   * @returns {BenchSetUp}
   */
  function setUpOf(family, measure) {
    const measurement = family.measurements[measure];
    return { state: measurement.state, unplugged: measurement.unplugged };
  }

  /**
   * @param {BenchSetUp} one
   * @param {BenchSetUp} other
   */
  function sameSetUp(one, other) {
    return one.state === other.state && unlike(one.unplugged, other.unplugged) === 0;
  }

  /**
   * The index of a set-up among those of the case, -1 when it is none of them.
   * @param {BenchCase} one
   * @param {BenchSetUp} setUp
   */
  function placeOf(one, setUp) {
    return one.setUps.findIndex((known) => sameSetUp(known, setUp));
  }

  /**
   * How many parts are in one list only.
   * @param {readonly string[]} one
   * @param {readonly string[]} other
   */
  function unlike(one, other) {
    return (
      one.filter((part) => !other.includes(part)).length + other.filter((part) => !one.includes(part)).length
    );
  }

  /**
   * Minutes from one set-up to another.
   * @param {BenchBook} book
   * @param {BenchFamily} family
   * @param {BenchSetUp} before
   * @param {BenchSetUp} after
   */
  function changeMinutes(book, family, before, after) {
    const state = after.state === null ? undefined : family.states[after.state];
    const minutes = state && after.state !== before.state ? state.minutes : 0;
    return minutes + book.shop.unplug_minutes * unlike(before.unplugged, after.unplugged);
  }

  /**
   * The confirming measurements of a fix: without power first, lest a mend that failed be powered; those of one bench
   * state together.
   * @param {BenchFamily} family
   * @param {BenchFault} fault
   */
  function proofMeasures(family, fault) {
    const known = Object.keys(fault.fix.confirm).filter((id) => id in family.measurements);
    /** @param {string} id */
    const key = (id) =>
      Number(isLive(family, family.measurements[id])) + " " + family.measurements[id].state + " " + id;
    return known.sort((a, b) => (key(a) < key(b) ? -1 : 1));
  }

  /**
   * @param {BenchFamily} family
   * @param {BenchFault} fault
   */
  function proofSetUp(family, fault) {
    const last = proofMeasures(family, fault).pop();
    return last === undefined ? NOTHING : setUpOf(family, last);
  }

  /**
   * Minutes to try a fix and prove it: the work, the parts' prices by the labour rate, the proof from a bare bench, and
   * what it risks.
   * @param {BenchBook} book
   * @param {BenchFamily} family
   * @param {BenchFault} fault
   */
  function fixMinutes(book, family, fault) {
    let parts = 0;
    for (const use of fault.fix.parts) {
      const part = family.parts[use.part];
      if (part && part.replace.price !== null) parts += (part.replace.price / book.shop.labour_rate) * 60;
    }
    let proof = 0;
    let stands = NOTHING;
    for (const id of proofMeasures(family, fault)) {
      const needs = setUpOf(family, id);
      proof += changeMinutes(book, family, stands, needs) + family.measurements[id].minutes;
      stands = needs;
    }
    return fault.fix.minutes + parts + proof + fault.links.risk;
  }

  /**
   * What planning needs: only measurements that the meter can make and some fault states.
   * @param {BenchBook} book
   * @param {BenchFamily} family
   * @param {readonly BenchFault[]} faults
   * @param {readonly string[]} measures
   * @param {Record<string, BenchScale>} scales
   * @param {Record<string, number[][]>} expected
   * @param {Record<string, boolean[]>} stated
   * @param {readonly BenchSetUp[]} setUps
   * @returns {BenchPlanBase}
   */
  function benchOf(book, family, faults, measures, scales, expected, stated, setUps) {
    /** @param {BenchSetUp} needed */
    const place = (needed) => setUps.findIndex((known) => sameSetUp(known, needed));
    const useful = measures.filter((id) => {
      const named = family.measurements[id].links.unit === null;
      return stated[id].some(Boolean) && (scales[id].ranges.length > 0 || named);
    });
    const tables = useful.map((id) => planTable(scales[id], expected[id]));
    return {
      faults: faults.map((fault) => fault.id),
      fixMinutes: faults.map((fault) => fixMinutes(book, family, fault)),
      fixSetUp: faults.map((fault) => place(proofSetUp(family, fault))),
      measures: useful,
      tables,
      measureMinutes: useful.map((id) => family.measurements[id].minutes),
      measureSetUp: useful.map((id) => place(setUpOf(family, id))),
      change: setUps.map((a) => setUps.map((b) => changeMinutes(book, family, a, b))),
      escalate: book.shop.escalate.minutes,
      live: useful.map((id) => isLive(family, family.measurements[id])),
      closes: useful.map((id) => scales[id].bands.map((band) => closed(id, band.outcome))),
      shuts: useful.map((id) => scales[id].bands.map((band) => shut(id, band.outcome))),
      guarded: Uint8Array.from(faults, (fault) => Number(fault.links.hot)),
      opens: useful.map((id, m) => scales[id].bands.map((_, o) => opened(id, tables[m][o], o))),
      railsFirst: [...useful.keys()].filter((place) => onRail(family, useful[place])),
    };

    /**
     * @param {string} id
     * @param {string} outcome
     */
    function closed(id, outcome) {
      const lock = benchlore.interlock.of(family, id, outcome);
      return lock ? useful.map((other) => lock.states.includes(family.measurements[other].state)) : null;
    }

    /**
     * The faults that an abnormal outcome speaks for: those that state the measurement and make the outcome likelier
     * than something else does.
     * @param {string} id
     * @param {Float64Array} row
     * @param {number} outcome
     */
    function opened(id, row, outcome) {
      if (scales[id].normal.includes(outcome)) return null;
      return Uint8Array.from(faults, (_, i) => Number(stated[id][i] && row[i] > row[faults.length]));
    }

    /**
     * @param {string} id
     * @param {string} outcome
     */
    function shut(id, outcome) {
      const lock = benchlore.interlock.of(family, id, outcome);
      const { shuts } = benchlore.interlock;
      return lock ? Uint8Array.from(faults, (fault) => Number(shuts(family, lock, fault))) : null;
    }
  }

  /**
   * True for the resistance of a supply rail with nothing injected and nothing unplugged.
   * @param {BenchFamily} family
   * @param {string} measure
   */
  function onRail(family, measure) {
    const { links, mode, inject, unplugged } = family.measurements[measure];
    const net = family.nets[links.net];
    return net?.kind === "rail" && mode === "ohms" && inject === null && unplugged.length === 0;
  }

  /**
   * True when a measurement needs a source in.
   * @param {BenchFamily} family
   * @param {BenchMeasurement} measurement
   */
  function isLive(family, measurement) {
    const state = family.states[measurement.state];
    return Boolean(state?.sources.length);
  }

  /**
   * @param {BenchFamily} family
   * @param {string} measure
   * @param {string} name
   */
  function outcomeOf(family, measure, name) {
    return /** @type {BenchOutcome} */ (
      Object.values(family.measurements[measure].outcomes).find((outcome) => outcome.id === name)
    );
  }

  /**
   * [o][h]: P(taken for outcome o | hypothesis), with the meter's confusions and the share of blunders.
   * @param {BenchScale} scale
   * @param {readonly (readonly number[])[]} expected
   */
  function planTable(scale, expected) {
    const { BLUNDER, classTable, elsewhere, meaninglessClasses } = benchlore.likelihood;
    const confusion = classTable(scale);
    const chance = meaninglessClasses(scale, confusion);
    return scale.bands.map((_, o) => {
      /** Faults that are silent here share one row. @type {Map<readonly number[], number>} */
      const known = new Map();
      const row = new Float64Array(expected.length + 1);
      expected.forEach((probabilities, h) => {
        let found = known.get(probabilities);
        if (found === undefined) {
          let seen = 0;
          for (let i = 0; i < probabilities.length; i += 1) seen += probabilities[i] * confusion[i][o];
          found = (1 - BLUNDER) * seen + BLUNDER * chance[o];
          known.set(probabilities, found);
        }
        row[h] = found;
      });
      row[expected.length] = elsewhere(scale, (i) => confusion[i][o], chance[o]);
      return row;
    });
  }

  /** @param {readonly number[]} values */
  function sum(values) {
    let total = 0;
    for (const value of values) total += value;
    return total;
  }

  benchlore.cases = {
    expectedReading,
    caseOf,
    isLive,
    outcomeOf,
    setUpOf,
    placeOf,
    changeMinutes,
    proofMeasures,
    fixMinutes,
  };
})();
