/*
 * A simulated job: what the customer says, the hidden fault, and what comes of each thing that the trainee does.
 * A job is its seed and the list of what was done; everything else follows, so a page that was closed goes on.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));

  /**
   * The job of a symptom and a seed.
   * @type {(book: BenchBook, family: BenchFamily, meter: string, symptom: string, seed: string) => StudyJob}
   */
  function begin(book, family, meter, symptom, seed) {
    const chance = study.random.stream(seed, "job", symptom);
    const revisions = Object.keys(family.revisions);
    const revision = revisions[chance.index(revisions.length)] || "";
    const one = benchlore.cases.caseOf(book, family, revision, meter);
    const said = book.symptoms[symptom];
    const phrases = said ? (said.said.length ? said.said : [said.title]) : [symptom];
    const words = phrases[chance.index(phrases.length)];
    return {
      book,
      family,
      one,
      symptom,
      seed,
      revision,
      words,
      hidden: study.simulate.hidden(one, symptom, seed),
    };
  }

  /**
   * Where a job stands after what was done. Things that do not fit where the job stands are passed over.
   * @type {(job: StudyJob, deck: StudyDeck, events: readonly StudyEvent[]) => StudyPlay}
   */
  function play(job, deck, events) {
    /** @type {StudyPlay} */
    let now = {
      minutes: 0,
      stands: job.one.setUps[0],
      evidence: { symptoms: [job.symptom], readings: [], tried: [] },
      entries: [],
      met: [],
      stage: "work",
      fixing: "",
      end: "",
    };
    for (const event of events) now = step(job, deck, now, event);
    return now;
  }

  /** @type {(job: StudyJob, deck: StudyDeck, now: StudyPlay, event: StudyEvent) => StudyPlay} */
  function step(job, deck, now, event) {
    if (now.stage === "work" && event.do === "measure" && job.one.scales[event.measure])
      return measure(job, deck, now, event);
    if (now.stage === "work" && event.do === "fix" && job.one.faults.includes(event.fault))
      return fix(job, now, event);
    if (now.stage === "work" && event.do === "escalate") return escalate(job, now);
    if (now.stage === "confirm" && event.do === "confirm" && job.one.scales[event.measure])
      return confirm(job, now, event.measure);
    if (now.stage === "proof" && event.do === "judge") return judged(job, now, event.proved);
    return now;
  }

  /**
   * Set the bench up and measure. A wrong set-up costs its minutes and gives no reading.
   * @type {(job: StudyJob, deck: StudyDeck, now: StudyPlay, event: StudyMeasureEvent) => StudyPlay}
   */
  function measure(job, deck, now, event) {
    const { book, family, one } = job;
    const need = family.measurements[event.measure];
    const setUp = { state: event.state, unplugged: event.unplugged };
    const change = benchlore.cases.changeMinutes(book, family, now.stands, setUp);
    const guards = event.guards.concat(now.met);
    const set = study.setup.harms(book, family, deck, event.measure, {
      state: event.state,
      unplugged: event.unplugged,
      guards,
    });
    const found = set.concat(
      study.setup.repowered(event.state, benchlore.interlock.standing(now.evidence.readings)),
    );
    const wrong = set.filter((harm) => harm.what !== "hazard");
    const missed = need.links.hazards.filter((id) => !guards.includes(id));
    const met = [...new Set(now.met.concat(need.links.hazards))];
    const told = { harms: found, missed, measure: event.measure };
    if (wrong.length) return advance(now, entryAt(now, "set-up", change, told), { stands: setUp, met });
    const time = now.entries.reduce(
      (count, entry) => count + entry.readings.filter((taken) => taken.measure === event.measure).length,
      0,
    );
    const taken = take(
      job,
      event.measure,
      study.simulate.reading(one, event.measure, job.hidden, job.seed, time),
    );
    const entry = entryAt(now, "measure", change + need.minutes, { ...told, readings: [taken] });
    const outcome = benchlore.assess.takenFor(one, event.measure, taken.reading).id;
    const stops = benchlore.interlock.of(family, event.measure, outcome)?.states.includes(need.state);
    return advance(now, entry, {
      stands: stops ? one.setUps[0] : setUp,
      met,
      evidence: withReadings(job, now.evidence, [taken]),
    });
  }

  /** @type {(now: StudyPlay, kind: StudyEntry["kind"], minutes: number, more: Partial<StudyEntry>) => StudyEntry} */
  function entryAt(now, kind, minutes, more) {
    const none = { harms: [], missed: [], measure: "", fault: "", action: "", readings: [] };
    return { kind, at: now.evidence, stood: now.stands, minutes, ...none, ...more };
  }

  /** @type {(now: StudyPlay, entry: StudyEntry, changes: Partial<StudyPlay>) => StudyPlay} */
  function advance(now, entry, changes) {
    return Object.assign(
      {},
      now,
      { minutes: now.minutes + entry.minutes, entries: now.entries.concat([entry]) },
      changes,
    );
  }

  /** @type {(job: StudyJob, measure: string, taken: StudyTaken) => StudyReading} */
  function take(job, measure, taken) {
    return {
      measure,
      reading: taken.reading,
      verdict: benchlore.verdict.judge(job.one, measure, taken.reading),
      blunder: taken.blunder,
    };
  }

  /**
   * The evidence with readings added: of each measurement the last one counts.
   * @type {(job: StudyJob, evidence: BenchEvidence, taken: readonly StudyReading[]) => BenchEvidence}
   */
  function withReadings(job, evidence, taken) {
    const kept = evidence.readings.filter((one) => !taken.some((fresh) => fresh.measure === one.measure));
    return Object.assign({}, evidence, {
      readings: kept.concat(
        taken.map((one) => ({ measure: one.measure, reading: one.reading, seen: job.one })),
      ),
    });
  }

  /**
   * Try a fix. Its minutes hold the work, the parts and the proof. The work is done with every source out, which costs
   * no minutes of its own; one who leaves a source in has missed a safety step. What is plugged in is tried under power.
   * @type {(job: StudyJob, now: StudyPlay, event: StudyFixEvent) => StudyPlay}
   */
  function fix(job, now, event) {
    const { book, family } = job;
    const tried = tryOf(job, event.fault);
    const missed = tried.hazards.filter((id) => !event.guards.includes(id) && !now.met.includes(id));
    const state = event.state === undefined ? now.stands.state : event.state;
    const live = tried.outside ? [] : study.setup.workedLive(family, state);
    const entry = entryAt(now, "fix", tried.minutes, {
      harms: live.concat(missed.map((id) => study.setup.missed(book, id))),
      missed,
      fault: event.fault,
      action: event.action,
    });
    return advance(now, entry, {
      stage: family.faults[event.fault] ? "confirm" : "proof",
      stands: job.one.setUps[0],
      fixing: event.fault,
      met: [...new Set(now.met.concat(tried.hazards))],
    });
  }

  /**
   * What can be fixed, sought or tried: a recorded fault, or a suspect, which has neither a page nor an action of its
   * own and is proved by the symptom alone.
   * @type {(job: StudyJob, id: string) => StudyTry}
   */
  function tryOf(job, id) {
    const { book, family, one } = job;
    const fault = family.faults[id];
    const suspect = family.suspects[id];
    if (!suspect)
      return {
        title: fault.title,
        page: fault.page,
        action: fault.fix.words.action,
        hazards: fault.links.hazards,
        minutes: benchlore.cases.fixMinutes(book, family, fault),
        outside: false,
      };
    return {
      title: suspect.title,
      page: "",
      action: "",
      hazards: suspect.hazards,
      minutes: one.bench.fixMinutes[one.faults.indexOf(id)],
      outside: suspect.outside !== "",
    };
  }

  /**
   * Choose what proves the fix. Another measurement than the record's costs its minutes and proves nothing. After the
   * first reading that is not the wanted one no more is taken.
   * @type {(job: StudyJob, now: StudyPlay, measure: string) => StudyPlay}
   */
  function confirm(job, now, measure) {
    const { book, family } = job;
    const fault = family.faults[now.fixing];
    const proofs = benchlore.cases.proofMeasures(family, fault);
    if (!proofs.includes(measure) && proofs.length) {
      const needs = benchlore.cases.setUpOf(family, measure);
      const minutes =
        benchlore.cases.changeMinutes(book, family, now.stands, needs) + family.measurements[measure].minutes;
      const entry = entryAt(now, "no-proof", minutes, { measure, fault: now.fixing });
      return advance(now, entry, { stands: needs });
    }
    /** @type {StudyReading[]} */
    const readings = [];
    for (const [n, id] of proofs.entries()) {
      const taken = take(job, id, proofReading(job, fault, id, n));
      readings.push(taken);
      if (taken.verdict.kind !== "decided" || taken.verdict.index !== wantedOf(job, fault, id)) break;
    }
    const entries = now.entries.slice();
    const at = lastFix(entries);
    entries[at] = Object.assign({}, entries[at], { readings });
    return Object.assign({}, now, {
      entries,
      stage: "proof",
      stands: job.one.setUps[0], // the symptom was looked for with everything plugged in
    });
  }

  /** The outcome that a proof must read. @type {(job: StudyJob, fault: BenchFault, measure: string) => number} */
  function wantedOf({ family }, fault, measure) {
    return Object.values(family.measurements[measure].outcomes).findIndex(
      (found) => found.id === fault.fix.confirm[measure],
    );
  }

  /** @param {readonly StudyEntry[]} entries */
  function lastFix(entries) {
    let at = entries.length - 1;
    while (at > 0 && entries[at].kind !== "fix") at -= 1;
    return at;
  }

  /**
   * Whether a fix mends the hidden fault: it is its own, or the parts that it renews are those at fault.
   * @type {(job: StudyJob, id: string) => boolean}
   */
  function mends({ one, hidden }, id) {
    return (one.bench.mends[one.faults.indexOf(id)] || []).includes(hidden);
  }

  /**
   * What a proof reads: healthy when the fix mends the hidden fault, else what that makes of it.
   * @type {(job: StudyJob, fault: BenchFault, measure: string, n: number) => StudyTaken}
   */
  function proofReading(job, fault, measure, n) {
    const { one } = job;
    if (!mends(job, fault.id)) return study.simulate.reading(one, measure, job.hidden, job.seed, 1000 + n);
    const outcome = wantedOf(job, fault, measure);
    return {
      reading: study.simulate.clear(one, measure, outcome, study.random.stream(job.seed, "proof", measure)),
      outcome,
      blunder: false,
    };
  }

  /**
   * Say whether the fix is proved. What is true ends the job or sends it back to the bench.
   * @type {(job: StudyJob, now: StudyPlay, proved: boolean) => StudyPlay}
   */
  function judged(job, now, proved) {
    if (mends(job, now.fixing)) return Object.assign({}, now, { stage: "over", end: "mended" });
    if (proved) {
      const minutes = job.book.shop.escalate.minutes;
      return Object.assign({}, now, { minutes: now.minutes + minutes, stage: "over", end: "came-back" });
    }
    const entry = now.entries[lastFix(now.entries)];
    const evidence = withReadings(job, now.evidence, entry.readings);
    return Object.assign({}, now, {
      stage: "work",
      fixing: "",
      evidence: Object.assign({}, evidence, { tried: evidence.tried.concat([now.fixing]) }),
    });
  }

  /** @type {(job: StudyJob, now: StudyPlay) => StudyPlay} */
  function escalate(job, now) {
    const entry = entryAt(now, "escalate", job.book.shop.escalate.minutes, {});
    return advance(now, entry, { stage: "over", end: "escalated" });
  }

  /**
   * How many safety steps were missed: hazards that nobody guarded against, and power where there must be none.
   * @param {readonly StudyEntry[]} entries
   */
  function missedSteps(entries) {
    const powered = entries.filter((entry) => entry.harms.some((one) => one.what === "power"));
    return new Set(entries.flatMap((entry) => entry.missed)).size + powered.length;
  }

  /**
   * The grade of SM-2 for a job that is over: 5 mended at the first fix, safely, in at most 1.25 times the plan's
   * minutes; 4 without that limit; 3 mended, but with a wrong fix, another action than the record's, or a missed step;
   * 2 escalated, though it is in the book or plugged in; 1 came back. Escalating what has no record is right.
   * @param {StudyJob} job
   * @param {StudyPlay} now
   * @param {number} plan minutes of the plan's path
   */
  function gradeOf(job, now, plan) {
    if (now.end === "came-back") return 1;
    if (now.end === "escalated" && isKnown(job)) return 2;
    const fixes = now.entries.filter((entry) => entry.kind === "fix");
    const named = fixes.every((entry) => ["", entry.action].includes(tryOf(job, entry.fault).action));
    const clean =
      now.entries.every((entry) => entry.harms.length === 0) &&
      fixes.length <= (now.end === "mended" ? 1 : 0);
    if (!clean || !named) return 3;
    return now.minutes <= plan * 1.25 ? 5 : 4;
  }

  /**
   * Whether the hidden fault has a record, or is of what is plugged in.
   * @param {StudyJob} job
   */
  function isKnown(job) {
    const id = job.one.faults[job.hidden];
    return Boolean(id) && Boolean(job.family.faults[id] || tryOf(job, id).outside);
  }

  study.job = { begin, play, missedSteps, gradeOf, tryOf, mends, isKnown };
})();
