/*
 * The numbers of one family, revision and meter, computed once, as in tools/benchlore/diagnosis/case.py and minutes.py.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  /** @type {BenchSetUp} */
  const NOTHING = { state: null, unplugged: [] };

  /** @type {WeakMap<BenchFamily, Map<string, BenchCase>>} */
  const kept = new WeakMap();

  /**
   * The case of a family, a revision (empty: any) and a meter; computed once and kept.
   * @type {(book: BenchBook, family: BenchFamily, revision: string, meter: string) => BenchCase}
   */
  function caseOf(book, family, revision, meter) {
    const cases = kept.get(family) || new Map();
    kept.set(family, cases);
    const key = revision + "/" + meter;
    const found = cases.get(key) || make(book, family, revision, meter);
    cases.set(key, found);
    return found;
  }

  /** @type {(book: BenchBook, family: BenchFamily, revision: string, meterId: string) => BenchCase} */
  function make(book, family, revision, meterId) {
    const meter = book.meters[meterId];
    if (!meter) throw new Error("The book has no meter '" + meterId + "'.");
    const known = /** @type {BenchHypotheses} */ (family.hypotheses[revision] || family.hypotheses[""]);
    const measures = Object.keys(known.reads);
    /** @type {Record<string, BenchScale>} */
    const scales = Object.create(null);
    /** @type {Record<string, (readonly number[])[]>} */
    const expected = Object.create(null);
    /** @type {Record<string, BenchColumnRows>} */
    const reads = Object.create(null);
    const columns = columnsOf(known);
    for (const id of measures) {
      const { of, rows, ways, stray } = /** @type {BenchRows} */ (known.reads[id]);
      scales[id] = { ...benchlore.likelihood.scaleOf(family.measurements[id], meter), stray };
      expected[id] = of.map((row) => rows[row]);
      const every = of.concat(ways);
      reads[id] = { rows, of, columns: columns.rows.map((place) => every[place]) };
    }
    const setUps = [NOTHING];
    for (const needed of measures.map((id) => setUpOf(family, id))) {
      if (!setUps.some((place) => sameSetUp(place, needed))) setUps.push(needed);
    }
    return {
      book,
      family,
      revision,
      meter,
      meterId,
      faults: known.names,
      recorded: known.recorded,
      prior: known.prior,
      shows: Object.assign(Object.create(null), known.shows),
      scales,
      expected,
      reads,
      columns,
      says: Object.fromEntries(measures.map((id) => [id, new Set(known.reads[id]?.says)])),
      setUps,
      bench: benchOf(book, family, known, scales, reads, columns, setUps),
    };
  }

  /**
   * The weights that ranking and looking ahead work on, as in tools/benchlore/diagnosis/ways.py: a column for each
   * hypothesis, for its first way of failing; the further ways, of the hypotheses `extra`; something else last.
   * @type {(known: BenchHypotheses) => BenchColumns}
   */
  function columnsOf({ names, split }) {
    const count = names.length;
    const { ELSEWHERE } = benchlore.likelihood;
    const shares = names.map(() => 1);
    const rows = [...names.keys()];
    /** @type {number[]} */
    const extra = [];
    /** @type {number[]} */
    const more = [];
    split.forEach(([h, share], n) => {
      const first = n === 0 || split[n - 1][0] !== h;
      if (first) {
        shares[h] = share;
        rows[h] = count + n;
        return;
      }
      extra.push(h);
      more.push(share);
      rows.push(count + n);
    });
    for (const [share] of ELSEWHERE.slice(1)) {
      extra.push(count);
      more.push(share);
    }
    return { count, extra, shares: [...shares, ...more, ELSEWHERE[0][0]], rows };
  }

  /**
   * The hypotheses that are out where these fixes were tried and not proved: all that each mends.
   * @type {(one: BenchCase, tried: readonly string[]) => Set<number>}
   */
  function ruledOut({ faults, bench }, tried) {
    return new Set(tried.flatMap((name) => bench.mends[faults.indexOf(name)] || []));
  }

  /**
   * A value of each hypothesis for each of its columns.
   * @type {(columns: BenchColumns, values: readonly number[]) => number[]}
   */
  function spread({ count, extra }, values) {
    return [...values.slice(0, count), ...extra.map((h) => values[h]), values[count]];
  }

  /**
   * The weight of each hypothesis and, last, of something else, from those of the columns.
   * @type {(columns: BenchColumns, weights: ArrayLike<number>) => number[]}
   */
  function folded(columns, weights) {
    return Array.from(foldedInto(columns, weights, new Float64Array(columns.count + 1)));
  }

  /**
   * The same, put into an array that is there.
   * @param {{extra: readonly number[]}} columns
   * @param {ArrayLike<number>} weights
   * @param {Float64Array} into
   */
  function foldedInto({ extra }, weights, into) {
    const count = into.length - 1;
    for (let h = 0; h < count; h += 1) into[h] = weights[h];
    into[count] = weights[weights.length - 1];
    for (let n = 0; n < extra.length; n += 1) into[extra[n]] += weights[count + n];
    return into;
  }

  /**
   * What is expected of a measurement with a fault, as stated or predicted: shares by outcome; null where nothing is
   * known of it. Taken from the rows that the ranking reckons with, since a record does not write what the circuit
   * predicts.
   * @param {BenchFamily} family
   * @param {string} fault
   * @param {string} measure
   * @returns {Readonly<Record<string, number | undefined>> | null}
   */
  function expectedReading(family, fault, measure) {
    const known = /** @type {BenchHypotheses} */ (family.hypotheses[""]);
    const found = known.reads[measure];
    const place = known.names.indexOf(fault);
    if (!found?.says.includes(place)) return null;
    const row = found.rows[found.of[place]];
    const outcomes = Object.values(family.measurements[measure].outcomes);
    return Object.fromEntries(outcomes.map((outcome, o) => [outcome.id, row[o]]));
  }

  /** @type {(family: BenchFamily, measure: string) => BenchSetUp} */
  function setUpOf(family, measure) {
    const measurement = family.measurements[measure];
    return { state: measurement.state, unplugged: measurement.unplugged };
  }

  /** @type {(one: BenchSetUp, other: BenchSetUp) => boolean} */
  function sameSetUp(one, other) {
    return one.state === other.state && unlike(one.unplugged, other.unplugged) === 0;
  }

  /**
   * The index of a set-up among those of the case, -1 when it is none of them.
   * @type {(one: BenchCase, setUp: BenchSetUp) => number}
   */
  function placeOf(one, setUp) {
    return one.setUps.findIndex((known) => sameSetUp(known, setUp));
  }

  /**
   * How many parts are in one list only.
   * @type {(one: readonly string[], other: readonly string[]) => number}
   */
  function unlike(one, other) {
    return (
      one.filter((part) => !other.includes(part)).length + other.filter((part) => !one.includes(part)).length
    );
  }

  /**
   * Minutes from one set-up to another.
   * @type {(book: BenchBook, family: BenchFamily, before: BenchSetUp, after: BenchSetUp) => number}
   */
  function changeMinutes(book, family, before, after) {
    const state = after.state === null ? undefined : family.states[after.state];
    const minutes = state && after.state !== before.state ? state.minutes : 0;
    return minutes + book.shop.unplug_minutes * unlike(before.unplugged, after.unplugged);
  }

  /**
   * The confirming measurements of a fix: without power first, lest a mend that failed be powered; those of one bench
   * state together.
   * @type {(family: BenchFamily, fault: BenchFault) => string[]}
   */
  function proofMeasures(family, fault) {
    const known = Object.keys(fault.fix.confirm).filter((id) => id in family.measurements);
    /** @param {string} id */
    const key = (id) =>
      Number(isLive(family, family.measurements[id])) + " " + family.measurements[id].state + " " + id;
    return known.sort((a, b) => (key(a) < key(b) ? -1 : 1));
  }

  /**
   * What the parts of a fix cost, in bench minutes.
   * @type {(family: BenchFamily, fault: BenchFault) => number}
   */
  function partsMinutes(family, fault) {
    return fault.fix.parts.reduce((sum, use) => sum + (family.parts[use.part]?.links.minutes || 0), 0);
  }

  /**
   * Minutes to try a fix and prove it: the work, the parts' prices by the labour rate, the proof from a bare bench, and
   * what it risks.
   * @type {(book: BenchBook, family: BenchFamily, fault: BenchFault) => number}
   */
  function fixMinutes(book, family, fault) {
    let proof = 0;
    let stands = NOTHING;
    for (const id of proofMeasures(family, fault)) {
      const needs = setUpOf(family, id);
      proof += changeMinutes(book, family, stands, needs) + family.measurements[id].minutes;
      stands = needs;
    }
    return fault.fix.minutes + partsMinutes(family, fault) + proof + fault.links.risk;
  }

  /**
   * What planning needs: only measurements that the meter can make and of which something is stated or foretold.
   * @param {BenchBook} book
   * @param {BenchFamily} family
   * @param {BenchHypotheses} known
   * @param {Record<string, BenchScale>} scales
   * @param {Record<string, BenchColumnRows>} reads
   * @param {BenchColumns} columns
   * @param {readonly BenchSetUp[]} setUps
   * @returns {BenchPlanBase}
   */
  function benchOf(book, family, known, scales, reads, columns, setUps) {
    /** @param {BenchSetUp} needed */
    const place = (needed) => setUps.findIndex((one) => sameSetUp(one, needed));
    const { names } = known;
    const useful = Object.keys(known.reads).filter((id) => {
      const named = family.measurements[id].links.unit === null;
      return (known.reads[id]?.says.length || 0) > 0 && (scales[id].ranges.length > 0 || named);
    });
    const made = useful.map((id) => planTable(scales[id], reads[id]));
    const tables = made.map(({ table }) => table);
    return {
      faults: names,
      fixMinutes: known.minutes,
      measures: useful,
      tables,
      measureMinutes: useful.map((id) => family.measurements[id].minutes),
      measureSetUp: useful.map((id) => place(setUpOf(family, id))),
      change: setUps.map((a) => setUps.map((b) => changeMinutes(book, family, a, b))),
      escalate: book.shop.escalate.minutes,
      live: useful.map((id) => isLive(family, family.measurements[id])),
      closes: useful.map((id) => scales[id].bands.map((band) => closed(id, band.outcome))),
      shuts: useful.map((id) => scales[id].bands.map((band) => shut(id, band.outcome))),
      guarded: Uint8Array.from(known.hot, Number),
      checks: names.map((name) =>
        (family.faults[name]?.links.checks || []).map((id) => useful.indexOf(id)).filter((m) => m >= 0),
      ),
      opens: useful.map((id, m) => scales[id].bands.map((_, o) => opened(id, made[m].whole[o], o))),
      railsFirst: [...useful.keys()].filter((m) => onRail(family, useful[m])),
      beforePower: Object.fromEntries(
        Object.entries(family.first).map(([symptom, ids]) => [
          symptom,
          (ids || []).map((id) => useful.indexOf(id)).filter((m) => m >= 0),
        ]),
      ),
      extra: columns.extra,
      mends: names.map((_, i) => known.mends[i] || [i]),
      down: family.down.map((id) => useful.indexOf(id)).filter((m) => m >= 0),
    };

    /** @type {(id: string, outcome: string) => boolean[] | null} */
    function closed(id, outcome) {
      const lock = benchlore.interlock.of(family, id, outcome);
      return lock ? useful.map((other) => lock.states.includes(family.measurements[other].state)) : null;
    }

    /**
     * The faults that an abnormal outcome speaks for: those of which the measurement is stated or foretold, which make
     * the outcome likelier than something else does, and likelier than it is where HEALTHY of the readings are healthy
     * and the others are any.
     * @type {(id: string, row: readonly number[], outcome: number) => Uint8Array<ArrayBuffer> | null}
     */
    function opened(id, row, outcome) {
      if (scales[id].normal.includes(outcome)) return null;
      const spoken = new Uint8Array(names.length);
      const { of, rows, says } = /** @type {BenchRows} */ (known.reads[id]);
      const least = (1 - benchlore.likelihood.HEALTHY) / rows[0].length;
      for (const h of says) spoken[h] = Number(row[h] > row[names.length] && rows[of[h]][outcome] > least);
      return spoken;
    }

    /** @type {(id: string, outcome: string) => Uint8Array<ArrayBuffer> | null} */
    function shut(id, outcome) {
      const lock = benchlore.interlock.of(family, id, outcome);
      const { shuts } = benchlore.interlock;
      return lock ? Uint8Array.from(names, (name) => Number(shuts(family, lock, name, id))) : null;
    }
  }

  /**
   * True for the resistance of a supply rail with nothing injected and nothing unplugged.
   * @type {(family: BenchFamily, measure: string) => boolean}
   */
  function onRail(family, measure) {
    const { links, mode, inject, unplugged, between, polarity, compare } = family.measurements[measure];
    const net = family.nets[links.net];
    const ohms = mode === "ohms" && between.length === 0 && polarity === null && compare === null;
    return net?.kind === "rail" && ohms && inject === null && unplugged.length === 0;
  }

  /**
   * True when a measurement needs a source in.
   * @type {(family: BenchFamily, measurement: BenchMeasurement) => boolean}
   */
  function isLive(family, measurement) {
    const state = family.states[measurement.state];
    return Boolean(state?.sources.length);
  }

  /** @type {(family: BenchFamily, measure: string, name: string) => BenchOutcome} */
  function outcomeOf(family, measure, name) {
    return /** @type {BenchOutcome} */ (
      Object.values(family.measurements[measure].outcomes).find((outcome) => outcome.id === name)
    );
  }

  /**
   * P(taken for outcome o), with the meter's confusions and the share of blunders: of each column as `table`, of each
   * hypothesis as `whole`.
   * @param {BenchScale} scale
   * @param {BenchColumnRows} reads
   */
  function planTable(scale, reads) {
    const { BLUNDER, ELSEWHERE, HEALTHY, classTable, elsewhere, meaninglessClasses } = benchlore.likelihood;
    const confusion = classTable(scale);
    const chance = meaninglessClasses(scale, confusion);
    const [first, ...others] = ELSEWHERE.map(([, healthy]) => healthy);
    const made = scale.bands.map((_, o) => {
      const byRow = reads.rows.map((shares) => {
        let seen = 0;
        for (let i = 0; i < shares.length; i += 1) seen += shares[i] * confusion[i][o];
        return (1 - BLUNDER) * seen + BLUNDER * chance[o];
      });
      const other = (/** @type {number} */ healthy) =>
        elsewhere(scale, (i) => confusion[i][o], chance[o], healthy);
      const row = [...reads.columns.map((place) => byRow[place]), ...others.map(other), other(first)];
      return {
        row: Float64Array.from(row),
        whole: [...reads.of.map((place) => byRow[place]), other(HEALTHY)],
      };
    });
    return { table: made.map(({ row }) => row), whole: made.map(({ whole }) => whole) };
  }

  benchlore.cases = {
    isLive,
    expectedReading,
    caseOf,
    ruledOut,
    spread,
    folded,
    foldedInto,
    outcomeOf,
    setUpOf,
    placeOf,
    changeMinutes,
    proofMeasures,
    fixMinutes,
    partsMinutes,
  };
})();
