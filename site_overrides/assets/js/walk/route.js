/*
 * The way of a walk: its points in order, with the set-up of each, and which one is next. Of a family the order comes with
 * the data (tools/benchlore/walk/order.py); free points are taken state by state in the order of the bench states there.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WalkScripts} */ ((window.benchlore = window.benchlore || {}));
  const walks = (benchlore.walks = benchlore.walks || /** @type {WalkParts} */ ({}));

  const { states: STATES, order: ORDER, leads: LEADS } = benchlore.walkBook;

  /**
   * What is walked: the family of the book, or one made from the free points of a walk.
   * @type {(walk: WalkRecord | null) => BenchFamily}
   */
  function familyOf(walk) {
    const known = benchlore.walkStops && benchlore.benchFamilies[benchlore.walkStops.family];
    if (known) return known;
    const points = walk ? walk.points : [];
    const made = {
      id: "",
      title: walk?.title || "A board without records",
      page: "",
      states: STATES,
      spared: [], // nobody knows what this board does not have
      revisions: {},
      nets: {},
      parts: {},
      test_points: {},
      faults: {},
      measurements: Object.fromEntries(points.map((point) => [point.id, measurementOf(point)])),
    };
    return /** @type {any} */ (made);
  }

  /**
   * A free point as a measurement of which no outcome is known.
   * @param {WalkPoint} point
   */
  function measurementOf(point) {
    const mode = benchlore.vocabulary.functions[point.mode];
    const state = STATES[point.state];
    return {
      id: point.id,
      at: point.at,
      between: [],
      polarity: null,
      mode: point.mode,
      state: point.state,
      unplugged: [],
      minutes: 1,
      technique: null,
      inject: null,
      compare: null,
      outcomes: {},
      strip: "",
      words: { leads: LEADS[point.mode] || "" },
      html: { asks: "", note: "" },
      links: {
        net: point.net,
        unit: mode ? mode.unit : null,
        hazards: state ? state.hazard : [],
        interlocks: {},
      },
    };
  }

  /**
   * The steps in order. `minutes`: of the set-up from the step before, and of the reading.
   * @type {(walk: WalkRecord) => WalkStep[]}
   */
  function steps(walk) {
    const family = familyOf(walk);
    return stopsOf(walk).flatMap(({ state, unplugged, minutes, measures }) =>
      measures.map((measure, n) => ({
        measure,
        setUp: { state, unplugged },
        minutes: (n ? 0 : minutes) + family.measurements[measure].minutes,
      })),
    );
  }

  /** @type {(walk: WalkRecord) => readonly WalkStop[]} */
  function stopsOf(walk) {
    if (benchlore.walkStops) return benchlore.walkStops.stops;
    return ORDER.map((state) => ({
      state,
      unplugged: [],
      minutes: STATES[state]?.minutes || 0,
      measures: walk.points.filter((point) => point.state === state).map((point) => point.id),
    })).filter((stop) => stop.measures.length > 0);
  }

  /**
   * The last reading of each measurement; of one that was left out its text is empty.
   * @type {(walk: WalkRecord) => Map<string, WalkTaken>}
   */
  function taken(walk) {
    return new Map(walk.readings.map((one) => [one.measure, one]));
  }

  /**
   * The first step that was neither read nor left out; undefined at the end.
   * @param {WalkRecord} walk
   */
  function next(walk) {
    const done = taken(walk);
    return steps(walk).find((step) => !done.has(step.measure));
  }

  /**
   * How the bench stands: as the last reading has left it, or with nothing set up where there is none beyond the first
   * `since`. What was left out sets nothing up, and after a reading that bars its own bench state nothing stays in.
   * @type {(walk: WalkRecord, since: number) => BenchSetUp}
   */
  function stands(walk, since) {
    const last = walk.readings.slice(since).findLast((one) => one.text !== "");
    const step = last && steps(walk).find((one) => one.measure === last.measure);
    const locks = last ? locksOf(walk, [last]) : [];
    const barred = step?.setUp.state && benchlore.interlock.bars(locks, step.setUp.state);
    return step && !barred ? step.setUp : { state: null, unplugged: [] };
  }

  /**
   * What readings bar.
   * @type {(walk: WalkRecord, readings: readonly WalkTaken[]) => BenchStanding[]}
   */
  function locksOf(walk, readings) {
    const family = familyOf(walk);
    return readings.flatMap(({ measure, meter, text }) => {
      const measurement = family.measurements[measure];
      const known = benchlore.benchBook.meters[meter];
      const shown = measurement && text ? walks.compare.show(measurement, known, text) : null;
      if (!shown || !walks.compare.isShown(shown)) return [];
      const outcome = walks.compare.outcomeOf(measurement, shown);
      const lock =
        outcome && !outcome.normal ? benchlore.interlock.of(family, measure, outcome.id) : undefined;
      return outcome && lock ? [{ measure, outcome: outcome.id, lock }] : [];
    });
  }

  /**
   * Minutes that are left, by the shop's file.
   * @param {WalkRecord} walk
   */
  function minutesLeft(walk) {
    const done = taken(walk);
    return steps(walk).reduce((sum, step) => sum + (done.has(step.measure) ? 0 : step.minutes), 0);
  }

  walks.route = { familyOf, steps, taken, next, stands, locksOf, minutesLeft };
})();
