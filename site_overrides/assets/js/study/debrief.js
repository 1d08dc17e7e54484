/*
 * A finished job beside the plan: what each step was worth, where the path left the plan, what the plan would have
 * done on the same board with the same readings.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));

  /** Minutes within which two actions are equally good. */
  const AS_GOOD = 0.5;
  const LONGEST = 60; // steps of a plan; no board has so many measurements and fixes worth trying

  /**
   * What can be done next, best first, and what fixing by guess would cost.
   * @param {StudyJob} job
   * @param {BenchEvidence} evidence
   * @param {BenchSetUp} stands
   */
  function outlook(job, evidence, stands) {
    const { one } = job;
    const { lookAt, withoutMeasuring } = benchlore.lookahead;
    const look = lookAt(one.bench, benchlore.assess.begins(one, evidence.symptoms));
    const place = benchlore.assess.placed(one, evidence, placeOf(one, stands));
    const probabilities = benchlore.posterior.ofHypotheses(one, place.weights);
    const choices = benchlore.lookahead.next(look, place);
    return {
      look,
      place,
      probabilities,
      choices,
      guess: withoutMeasuring(lookAt(one.bench), place.weights, new Uint8Array(one.faults.length)),
    };
  }

  /**
   * The place of a set-up among those of the case. With a part out too many it is none of them: then the one that
   * takes the fewest minutes from there.
   * @type {(one: BenchCase, stands: BenchSetUp) => number}
   */
  function placeOf(one, stands) {
    const known = benchlore.cases.placeOf(one, stands);
    if (known >= 0) return known;
    const minutes = one.setUps.map((setUp) =>
      setUp.state === stands.state
        ? benchlore.cases.changeMinutes(one.book, one.family, stands, setUp)
        : Infinity,
    );
    return minutes.indexOf(Math.min(...minutes));
  }

  /**
   * What the minutes of a fix are made of.
   * @type {(book: BenchBook, family: BenchFamily, fault: BenchFault) => StudyFixShares}
   */
  function sharesOf(book, family, fault) {
    const parts = benchlore.cases.partsMinutes(family, fault);
    return {
      work: fault.fix.minutes,
      parts,
      proof: benchlore.cases.fixMinutes(book, family, fault) - fault.fix.minutes - parts - fault.links.risk,
      risk: fault.links.risk,
    };
  }

  /**
   * The plan's path on the board of the job.
   * @type {(job: StudyJob) => StudyPlanPath}
   */
  function planPath(job) {
    const { one } = job;
    /** @type {BenchEvidence} */
    let evidence = { symptoms: [job.symptom], readings: [], tried: [] };
    let stands = one.setUps[0];
    let minutes = 0;
    /** @type {StudyPlanStep[]} */
    const steps = [];
    while (steps.length < LONGEST) {
      const { choices, guess, probabilities } = outlook(job, evidence, stands);
      const best = choices[0];
      minutes += best.minutes;
      if (best.kind === "escalate") {
        steps.push({
          kind: "escalate",
          id: "",
          minutes: best.minutes,
          worth: 0,
          reading: null,
          verdict: null,
          probability: 0,
          mended: false,
        });
        break;
      }
      if (best.kind === "measure") {
        const measure = one.bench.measures[best.index];
        const { reading } = study.simulate.reading(one, measure, job.hidden, job.seed, 0);
        steps.push({
          kind: "measure",
          id: measure,
          minutes: best.minutes,
          worth: guess - best.expected,
          reading,
          verdict: benchlore.verdict.judge(one, measure, reading),
          probability: 0,
          mended: false,
        });
        evidence = Object.assign({}, evidence, {
          readings: evidence.readings.concat([{ measure, reading, seen: one }]),
        });
        stands = benchlore.assess.standsAt(one, evidence.readings, false);
        continue;
      }
      const fault = one.faults[best.index];
      const mended = study.job.mends(job, fault);
      steps.push({
        kind: "fix",
        id: fault,
        minutes: best.minutes,
        worth: 0,
        reading: null,
        verdict: null,
        probability: mendedBy(job, best.index, probabilities),
        mended,
      });
      if (mended) break;
      evidence = Object.assign({}, evidence, { tried: evidence.tried.concat([fault]) });
      stands = one.setUps[0];
    }
    return { steps, minutes };
  }

  /**
   * The probability that a fix mends the board.
   * @type {(job: StudyJob, fix: number, probabilities: readonly number[]) => number}
   */
  function mendedBy({ one }, fix, probabilities) {
    return one.bench.mends[fix].reduce((sum, h) => sum + probabilities[h], 0);
  }

  /**
   * What one step of the trainee was worth where it was taken, and what the plan would have done there.
   * @type {(job: StudyJob, entry: StudyEntry) => StudyReview}
   */
  function review(job, entry) {
    const { one } = job;
    const { look, place, choices, guess, probabilities } = outlook(job, entry.at, entry.stood);
    const best = choices[0];
    const there = {
      kind: best.kind,
      id: best.index < 0 ? "" : (best.kind === "measure" ? one.bench.measures : one.bench.faults)[best.index],
      minutes: best.minutes,
      worth: best.kind === "measure" ? guess - best.expected : 0,
    };
    if (entry.kind === "set-up" || entry.kind === "no-proof")
      return { entry, best: there, worth: 0, lost: entry.minutes, same: false, probability: 0 };
    const kind = entry.kind;
    const id = kind === "measure" ? entry.measure : entry.fault;
    const index =
      kind === "escalate" ? -1 : (kind === "measure" ? one.bench.measures : one.bench.faults).indexOf(id);
    const known = choices.find((choice) => choice.kind === kind && choice.index === index);
    let expected = known ? known.expected : best.expected + entry.minutes;
    if (!known && kind === "fix") {
      const after = benchlore.lookahead.choices(
        look,
        benchlore.lookahead.afterFailedFix(one.bench, place, index),
      )[0];
      expected = entry.minutes + (1 - mendedBy(job, index, probabilities)) * after.expected;
    }
    const lost = Math.max(0, expected - best.expected);
    return {
      entry,
      best: there,
      worth: kind === "measure" ? (known ? guess - expected : 0) : 0,
      lost,
      same: (kind === best.kind && index === best.index) || lost <= AS_GOOD,
      probability: kind === "fix" ? mendedBy(job, index, probabilities) : 0,
    };
  }

  /** @type {(job: StudyJob, deck: StudyDeck, played: StudyPlay) => StudyDebrief} */
  function debrief(job, deck, played) {
    const plan = planPath(job);
    const steps = played.entries.map((entry) => review(job, entry));
    const left = steps.findIndex((step) => !step.same);
    const missed = [...new Set(played.entries.flatMap((entry) => entry.missed))];
    const wrong = played.entries.filter((entry) => entry.kind === "set-up");
    return {
      plan,
      complaint: deck.symptoms.find((one) => one.id === job.symptom) || null,
      steps,
      left,
      missed,
      wrong,
      minutes: played.minutes,
    };
  }

  study.debrief = { planPath, review, sharesOf, debrief };
})();
