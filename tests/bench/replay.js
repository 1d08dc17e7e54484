/*
 * Replays the vectors of vectors.py on the bench page's own scripts. `replay(vectors)` gives the worst relative gap and
 * the first mismatches in words.
 */
window.replay = (function () {
  "use strict";
  const { benchBook, benchFamilies, cases } = benchlore;
  const MOST_SAID = 5;
  let worst = 0;
  let said = [];

  function fail(text) {
    if (said.length < MOST_SAID) said.push(text);
  }

  function near(found, wanted, what) {
    const gap = Math.abs(found - wanted) / Math.max(1, Math.abs(wanted));
    worst = Math.max(worst, gap);
    if (!(gap <= 1e-9)) fail(`${what}: ${found} is not ${wanted}`);
  }

  function same(found, wanted, what) {
    const [one, other] = [JSON.stringify(found), JSON.stringify(wanted)];
    if (one !== other) fail(`${what}: ${one} is not ${other}`);
  }

  function rows(found, wanted, what) {
    same(found.length, wanted.length, `${what}, length`);
    wanted.forEach((value, i) => {
      if (Array.isArray(value)) rows(found[i] || [], value, `${what} ${i}`);
      else near(found[i], value, `${what} ${i}`);
    });
  }

  function caseOf(vector) {
    return cases.caseOf(benchBook, benchFamilies[vector.family], vector.revision, vector.meter);
  }

  function table(vector) {
    const one = caseOf(vector);
    const name = [vector.family, vector.revision, vector.meter].join(" ");
    same(one.faults, vector.faults, `${name} faults`);
    same(one.bench.measures, vector.measures, `${name} measures`);
    same(one.bench.mends, vector.mends, `${name} mends`);
    rows(one.prior, vector.prior, `${name} prior`);
    for (const [id, row] of Object.entries(vector.shows)) rows(one.shows[id], row, `${name} shows ${id}`);
    for (const [id, row] of Object.entries(vector.expected))
      rows(one.expected[id], row, `${name} expects ${id}`);
    rows(one.bench.fixMinutes, vector.fix_minutes, `${name} fix minutes`);
    rows(one.bench.measureMinutes, vector.measure_minutes, `${name} minutes`);
    rows(one.bench.tables, vector.tables, `${name} tables`);
    rows(one.bench.change, vector.change, `${name} change`);
  }

  function reading(vector) {
    const measurement = benchFamilies[vector.family].measurements[vector.measure];
    const found = benchlore.reading.read(measurement, benchBook.meters[vector.meter], vector.typed);
    const name = `${vector.measure} by ${vector.meter} ${JSON.stringify(vector.typed)}`;
    const refused = benchlore.reading.refused(found);
    same(refused, vector.refused, `${name} refused`);
    if (!refused && !vector.refused) same([found.value, found.outcome], [vector.value, vector.outcome], name);
  }

  function job(vector, n) {
    const one = caseOf(vector);
    const name = `job ${n}`;
    const taken = vector.taken.map(({ measure, typed }, entry) => {
      const measurement = one.family.measurements[measure];
      const reading = benchlore.reading.read(measurement, one.meter, typed);
      return { entry, proof: "", measure, seen: one, reading };
    });
    const readings = benchlore.assess.standing(taken);
    const evidence = {
      symptoms: vector.symptoms,
      readings,
      tried: vector.tried,
      confirmed: vector.confirmed,
    };
    const probabilities = benchlore.posterior.posterior(one, evidence);
    rows(probabilities, vector.posterior, `${name} posterior`);
    same(benchlore.assess.clashes(one, evidence, probabilities), vector.clashes, `${name} clashes`);
    const { contradictions, perhapsBoth } = benchlore.conflict;
    const against = contradictions(one, evidence, probabilities);
    same(
      against.map((c) => [c.readings, c.again]),
      vector.contradictions,
      `${name} contradictions`,
    );
    const both = perhapsBoth(one, evidence);
    rows(
      both.map((pair) => [...pair.faults, pair.probability]),
      vector.both,
      `${name} both`,
    );
    vector.verdicts.forEach((verdict, i) => {
      const { measure } = readings[i];
      const found = benchlore.verdict.judge(one, measure, readings[i].reading);
      const outcome = one.scales[measure].bands[found.index].outcome;
      same([found.kind, outcome], [verdict.kind, verdict.outcome], `${name} verdict ${measure}`);
      rows(found.outcomes, verdict.outcomes, `${name} outcomes ${measure}`);
    });
    const { lookAt } = benchlore.lookahead;
    const locks = benchlore.interlock.standing(readings).map((lock) => [lock.measure, lock.outcome]);
    same(locks, vector.interlocks, `${name} interlocks`);
    const setUp = benchlore.cases.placeOf(one, benchlore.assess.standsAt(one, readings, vector.triedLast));
    same(setUp, vector.setup, `${name} set-up`);
    const place = benchlore.assess.placed(one, evidence, setUp);
    same(place.first, vector.first, `${name} first`);
    same(place.down, vector.down, `${name} down`);
    const again = benchlore.assess.measuredAgain(one, evidence, against, setUp);
    rows(
      again.map((c) => [c.index, c.minutes, c.expected]),
      vector.again,
      `${name} again`,
    );
    const look = lookAt(one.bench, benchlore.assess.begins(one, vector.symptoms));
    const next = benchlore.lookahead.next(look, place, vector.depth);
    same(
      next.map((c) => [c.kind, c.index]),
      vector.next.map((c) => c.slice(0, 2)),
      `${name} order`,
    );
    next.forEach((c, i) => rows([c.minutes, c.expected], vector.next[i].slice(2), `${name} minutes ${i}`));
  }

  const KINDS = { table, reading, job };

  return (kind, vectors) => {
    [worst, said] = [0, []];
    vectors.forEach(KINDS[kind]);
    return { worst, said };
  };
})();
