/*
 * What a job comes to: its readings with their verdicts, the ranking, and what to do next.
 * Pure functions of the book's data and a job; the page and any other script ask here.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  /** Probability of "not in the book" above which nothing in the book explains the readings. */
  const EXPLAINED = 0.5;
  /** Probability from which an owner is named. */
  const LEAST_OWNER = 0.005;

  /**
   * @param {BenchBook} book
   * @param {BenchFamily} family
   * @param {BenchJob} job
   * @returns {BenchAssessment}
   */
  function assess(book, family, job) {
    const meter = book.meters[job.meter] ? job.meter : book.shop.default_meter;
    const revision = family.revisions[job.revision] ? job.revision : "";
    const one = benchlore.cases.caseOf(book, family, revision, meter);
    const taken = readings(book, family, revision, meter, job);
    const tried = triedOf(book, one, job);
    const symptoms = job.symptoms.filter((id) => one.shows[id]);
    const evidence = { symptoms, readings: standing(taken), tried, confirmed: confirmed(taken) };
    const stands = standsAt(one, taken, benchlore.job.triedLast(job));
    const place = placed(one, evidence, Math.max(0, benchlore.cases.placeOf(one, stands)));
    const probabilities = benchlore.posterior.ofHypotheses(one, place.weights);
    const before = previous(book, one, job, taken, evidence);
    const measured = evidence.readings.map((seen) => seen.measure);
    const locks = benchlore.interlock.standing(evidence.readings);
    const { look, bare } = looksFrom(one, symptoms);
    const contradictions = benchlore.conflict.contradictions(one, evidence, probabilities);
    const again = measuredAgain(one, evidence, contradictions, place.setUp);
    const choices = again.concat(benchlore.lookahead.next(look, place)).map((choice) => named(one, choice));
    return {
      one,
      taken,
      evidence,
      probabilities,
      before,
      measured,
      stands,
      locks,
      choices,
      place,
      guess: benchlore.lookahead.withoutMeasuring(bare, place.weights, new Uint8Array(one.faults.length)),
      ranking: ranking(one, probabilities, before, tried),
      explained: probabilities[probabilities.length - 1] <= EXPLAINED,
      clashes: clashes(one, evidence, probabilities),
      contradictions,
      both: benchlore.conflict.perhapsBoth(one, evidence),
      problems: problems(book, family, job, taken),
    };
  }

  /**
   * The probabilities of the columns before any reading.
   * @param {BenchCase} one
   * @param {readonly string[]} symptoms
   */
  function begins(one, symptoms) {
    return benchlore.posterior.joint(one, { symptoms, readings: [], tried: [] });
  }

  /** @type {WeakMap<BenchCase, {key: string, look: BenchLook, bare: BenchLook}>} */
  const looks = new WeakMap();

  /**
   * What a job with these symptoms looks ahead with, and the same without its guards; kept for the symptoms asked last,
   * since they stay while the readings come.
   * @param {BenchCase} one
   * @param {readonly string[]} symptoms
   */
  function looksFrom(one, symptoms) {
    const key = symptoms.join();
    const known = looks.get(one);
    if (known?.key === key) return known;
    const { lookAt } = benchlore.lookahead;
    const made = {
      key,
      look: lookAt(one.bench, begins(one, symptoms)),
      bare: known?.bare || lookAt(one.bench),
    };
    looks.set(one, made);
    return made;
  }

  /**
   * Where a job stands, to look ahead from.
   * @param {BenchCase} one
   * @param {BenchEvidence} evidence
   * @param {number} setUp
   */
  function placed(one, evidence, setUp) {
    const { book, family } = one;
    const { bars, shuts, standing } = benchlore.interlock;
    const found = standing(evidence.readings);
    const locks = {
      any: found.length > 0,
      closed: (/** @type {string} */ id) => bars(found, family.measurements[id].state),
      shut: (/** @type {string} */ id) => found.some(({ lock, measure }) => shuts(family, lock, id, measure)),
    };
    const measured = evidence.readings.map((seen) => seen.measure);
    const { measures, opens, live } = one.bench;
    const { symptoms } = evidence;
    // Nobody knows what is wrong with a board without a symptom, unless it has stood a source already.
    const powered = measured.some((id) => live[measures.indexOf(id)]);
    const railsFirst =
      symptoms.length === 0 ? !powered : symptoms.some((id) => book.symptoms[id]?.ohms_first);
    let normal = true;
    const speaking = evidence.readings.flatMap(({ measure, reading, seen }) => {
      const outcome = benchlore.likelihood.classOf(seen.scales[measure], reading);
      normal = normal && seen.scales[measure].normal.includes(outcome);
      const spoken = measures.includes(measure) ? opens[measures.indexOf(measure)][outcome] : null;
      return spoken ? [spoken] : [];
    });
    const spoken = (/** @type {number} */ fault) => speaking.some((row) => row[fault]);
    const unknown = normal && symptoms.length === 0;
    return benchlore.lookahead.start(
      one.bench,
      benchlore.posterior.joint(one, evidence),
      measured,
      setUp,
      locks,
      spoken,
      railsFirst,
      unknown,
      symptoms,
    );
  }

  /**
   * Every reading of a job, those of failed proofs too, in the order taken.
   * @param {BenchBook} book
   * @param {BenchFamily} family
   * @param {string} revision
   * @param {string} meter
   * @param {BenchJob} job
   * @returns {BenchJudged[]}
   */
  function readings(book, family, revision, meter, job) {
    /** @type {BenchJudged[]} */
    const found = [];
    job.entries.forEach((entry, at) => {
      if (entry.kind === "reading") found.push(judge(book, family, revision, meter, entry, at, ""));
      if (entry.kind === "fix") {
        for (const proof of entry.confirm)
          found.push(judge(book, family, revision, meter, proof, at, entry.result));
      }
    });
    return found;
  }

  /**
   * One typed reading, read and judged.
   * @param {BenchBook} book
   * @param {BenchFamily} family
   * @param {string} revision
   * @param {string} usual the meter that stands in for one that the book does not have
   * @param {BenchTaken} taken
   * @param {number} entry
   * @param {string} proof result of the fix that the reading proves, or nothing
   * @returns {BenchJudged}
   */
  function judge(book, family, revision, usual, taken, entry, proof) {
    const meter = book.meters[taken.meter] ? taken.meter : usual;
    const seen = benchlore.cases.caseOf(book, family, revision, meter);
    const measurement = family.measurements[taken.measure];
    const base = {
      entry,
      proof,
      measure: taken.measure,
      text: taken.text,
      meter,
      seen,
      reading: null,
      verdict: null,
    };
    if (!measurement)
      return Object.assign(base, {
        refusal: { reason: "the book has no measurement '" + taken.measure + "' now", mend: "" },
      });
    if (!seen.scales[taken.measure]) {
      return Object.assign(base, {
        refusal: { reason: "this point does not exist on revision " + revision, mend: "" },
      });
    }
    const found = benchlore.reading.read(measurement, seen.meter, taken.text);
    if (benchlore.reading.refused(found)) return Object.assign(base, { refusal: found });
    return Object.assign(base, {
      reading: found,
      refusal: null,
      verdict: benchlore.verdict.judge(seen, taken.measure, found),
    });
  }

  /**
   * The readings that count: the last one of each measurement; those of a proof that succeeded close the job.
   * @param {readonly Pick<BenchJudged, "entry" | "proof" | "measure" | "reading" | "seen">[]} taken
   * @returns {BenchSeen[]}
   */
  function standing(taken) {
    /** @type {Map<string, BenchSeen>} */
    const last = new Map();
    for (const one of taken) {
      if (one.reading && one.proof !== "proved") {
        last.delete(one.measure); // in the order taken: what bars and what clears goes by it
        last.set(one.measure, { measure: one.measure, reading: one.reading, seen: one.seen });
      }
    }
    return [...last.values()];
  }

  /**
   * The measurements that were read twice alike.
   * @param {readonly BenchJudged[]} taken
   * @returns {string[]}
   */
  function confirmed(taken) {
    /** @type {Map<string, {outcome: number, twice: boolean}>} */
    const last = new Map();
    for (const { measure, reading, seen, proof } of taken) {
      if (!reading || proof === "proved") continue;
      const outcome = benchlore.likelihood.classOf(seen.scales[measure], reading);
      last.set(measure, { outcome, twice: last.get(measure)?.outcome === outcome });
    }
    return [...last].filter(([, { twice }]) => twice).map(([measure]) => measure);
  }

  /**
   * The entries that contradict each other, to be measured again, each valued as if it had not been read.
   * @param {BenchCase} one
   * @param {BenchEvidence} evidence
   * @param {readonly BenchContradiction[]} contradictions
   * @param {number} setUp
   * @returns {BenchChoice[]}
   */
  function measuredAgain(one, evidence, contradictions, setUp) {
    const { measures } = one.bench;
    const names = [...new Set(contradictions.flatMap(({ again }) => again))];
    const { look } = looksFrom(one, evidence.symptoms);
    return names
      .filter((id) => measures.includes(id))
      .map((id) => {
        const readings = evidence.readings.filter((taken) => taken.measure !== id);
        const others = Object.assign({}, evidence, { readings });
        const place = placed(one, others, setUp);
        return benchlore.lookahead.measuredFirst(look, place, measures.indexOf(id));
      });
  }

  /**
   * The fixes that were tried and not proved, as the case names them.
   * @type {(book: BenchBook, one: BenchCase, job: BenchJob) => string[]}
   */
  function triedOf(book, one, job) {
    return benchlore.job
      .ruledOut(job)
      .map((id) => currentId(book, id))
      .filter((id) => one.faults.includes(id));
  }

  /**
   * The probabilities before the last entry, or null where there is none.
   * @param {BenchBook} book
   * @param {BenchCase} one
   * @param {BenchJob} job
   * @param {readonly BenchJudged[]} taken
   * @param {BenchEvidence} evidence
   */
  function previous(book, one, job, taken, evidence) {
    const last = job.entries.length - 1;
    if (last < 0) return null;
    const readings = standing(taken.filter((judged) => judged.entry !== last));
    const tried = triedOf(book, one, Object.assign({}, job, { entries: job.entries.slice(0, last) }));
    return benchlore.posterior.posterior(one, { symptoms: evidence.symptoms, readings, tried });
  }

  /**
   * How the bench stands after the last entry: with nothing set up before the first, after one that bars its own bench
   * state, and after a fix, since the symptom was looked for with everything plugged in.
   * @param {BenchCase} one
   * @param {readonly {measure: string, reading: BenchReading | null, seen: BenchCase}[]} taken
   * @param {boolean} triedLast
   * @returns {BenchSetUp}
   */
  function standsAt(one, taken, triedLast) {
    const last = taken.filter((judged) => judged.reading).pop();
    if (!last?.reading || triedLast) return one.setUps[0];
    const needs = benchlore.cases.setUpOf(one.family, last.measure);
    const outcome = takenFor(last.seen, last.measure, last.reading).id;
    const lock = benchlore.interlock.of(one.family, last.measure, outcome);
    return needs.state !== null && lock?.states.includes(needs.state) ? one.setUps[0] : needs;
  }

  /**
   * The outcome that a reading is taken for.
   * @param {BenchCase} seen
   * @param {string} measure
   * @param {BenchReading} reading
   */
  function takenFor(seen, measure, reading) {
    const scale = seen.scales[measure];
    const { outcome } = scale.bands[benchlore.likelihood.classOf(scale, reading)];
    return benchlore.cases.outcomeOf(seen.family, measure, outcome);
  }

  /**
   * @param {BenchCase} one
   * @param {readonly number[]} probabilities
   * @param {readonly number[] | null} before
   * @param {readonly string[]} tried
   * @returns {BenchRank[]}
   */
  function ranking(one, probabilities, before, tried) {
    const gone = benchlore.cases.ruledOut(one, tried);
    const rows = probabilities.map((p, index) => ({
      index,
      id: one.faults[index] || "",
      p,
      move: before ? p - before[index] : 0,
      minutes: index < one.faults.length ? one.bench.fixMinutes[index] : one.bench.escalate,
      out: gone.has(index),
      tried: tried.includes(one.faults[index]),
    }));
    return rows.sort((a, b) => Number(a.out) - Number(b.out) || b.p - a.p || a.index - b.index);
  }

  /**
   * The first level of the answer: the board, what is plugged in, the settings, or something else; the likeliest first.
   * @param {BenchAssessment} assessment
   * @returns {[string, number][]}
   */
  function whose({ one, probabilities }) {
    /** @type {Map<string, number>} */
    const found = new Map();
    probabilities.forEach((p, i) => {
      const name = i < one.faults.length ? ownerOf(one.family, one.faults[i]) : "something else";
      found.set(name, (found.get(name) || 0) + p);
    });
    return [...found].filter(([, p]) => p >= LEAST_OWNER).sort((a, b) => b[1] - a[1]);
  }

  /**
   * @param {BenchFamily} family
   * @param {string} id
   */
  function ownerOf(family, id) {
    const suspect = family.suspects[id];
    if (suspect) return suspect.outside || "board";
    return family.faults[id].links.outside || "board";
  }

  /**
   * What else a fix would mend, the likeliest first.
   * @param {BenchAssessment} assessment
   * @param {string} id of the fix
   * @returns {{index: number, p: number}[]}
   */
  function mendsAlso({ one, probabilities }, id) {
    const fix = one.faults.indexOf(id);
    return (one.bench.mends[fix] || [])
      .filter((index) => index !== fix && probabilities[index] >= LEAST_OWNER)
      .map((index) => ({ index, p: probabilities[index] }))
      .sort((a, b) => b.p - a.p || a.index - b.index);
  }

  /**
   * @param {BenchCase} one
   * @param {BenchChoice} choice
   * @returns {BenchAction}
   */
  function named(one, choice) {
    const names = choice.kind === "measure" ? one.bench.measures : one.bench.faults;
    return Object.assign({ id: choice.index < 0 ? "" : names[choice.index] }, choice);
  }

  /**
   * The readings that the likeliest fault still in the running does not explain: a board that is not in the book would
   * read so more often. When every fault is out, those that no fault explains.
   * @param {BenchCase} one
   * @param {BenchEvidence} evidence
   * @param {readonly number[]} probabilities
   * @returns {string[]}
   */
  function clashes(one, evidence, probabilities) {
    let best = -1;
    one.faults.forEach((_, i) => {
      if (probabilities[i] > 0 && (best < 0 || probabilities[i] > probabilities[best])) best = i;
    });
    const found = evidence.readings.filter((taken) => {
      const { likelihoods, meaningless } = benchlore.posterior;
      const likely = likelihoods(taken.seen, taken.measure, taken.reading).slice(0, -1);
      const nothing = meaningless(taken.seen, taken.measure, taken.reading);
      return best >= 0 ? likely[best] < nothing : !likely.some((value) => value > nothing);
    });
    return found.map((taken) => taken.measure);
  }

  /**
   * What a measurement would settle: for each outcome how likely it is now and which fault would then lead.
   * @param {BenchAssessment} assessment
   * @param {string} measure
   * @returns {{outcome: string, probability: number, leader: number, share: number}[]}
   */
  function settles(assessment, measure) {
    const { one, place } = assessment;
    const index = one.bench.measures.indexOf(measure);
    if (index < 0) return [];
    return one.scales[measure].bands.map((band, outcome) => {
      const after = benchlore.lookahead.afterOutcome(one.bench, place, index, outcome);
      const weights = benchlore.cases.folded(one.columns, after.weights);
      let total = 0;
      let leader = 0;
      weights.forEach((weight, i) => {
        total += weight;
        if (weight > weights[leader]) leader = i;
      });
      return {
        outcome: band.outcome,
        probability: total,
        leader,
        share: total > 0 ? weights[leader] / total : 0,
      };
    });
  }

  /**
   * Why a fault stands where it does: for each reading how many times likelier it makes the fault against the rest.
   * @param {BenchAssessment} assessment
   * @param {number} index of the hypothesis
   * @returns {{measure: string, reading: BenchReading, factor: number}[]}
   */
  function reasons(assessment, index) {
    const { evidence, probabilities } = assessment;
    return evidence.readings.map((taken) => {
      const likely = benchlore.posterior.likelihoods(taken.seen, taken.measure, taken.reading);
      // Against what the others would say by their standing before this reading, which is p / likelihood.
      let rest = 0;
      let mass = 0;
      likely.forEach((value, i) => {
        if (i === index) return;
        const before = probabilities[i] / value;
        rest += before * value;
        mass += before;
      });
      return {
        measure: taken.measure,
        reading: taken.reading,
        factor: rest > 0 ? (likely[index] * mass) / rest : Infinity,
      };
    });
  }

  /**
   * What the job names that the book no longer has, in words.
   * @param {BenchBook} book
   * @param {BenchFamily} family
   * @param {BenchJob} job
   * @param {readonly BenchJudged[]} taken
   * @returns {string[]}
   */
  function problems(book, family, job, taken) {
    /** @type {string[]} */
    const found = [];
    if (job.revision && !family.revisions[job.revision]) {
      found.push(family.title + " has no revision '" + job.revision + "' now. All revisions are considered.");
    }
    if (!book.meters[job.meter]) {
      const usual = book.meters[book.shop.default_meter];
      found.push(
        "The book has no meter '" +
          job.meter +
          "' now. Readings are taken as those of: " +
          (usual ? usual.title : "") +
          ".",
      );
    }
    for (const id of job.symptoms) {
      if (!book.symptoms[id])
        found.push("The book has no symptom '" + id + "' now. It is kept in the job and says nothing.");
    }
    for (const judged of taken) {
      if (judged.refusal) {
        found.push(
          "Entry " +
            (judged.entry + 1) +
            ", '" +
            judged.text +
            "', is kept but says nothing: " +
            judged.refusal.reason +
            ".",
        );
      }
    }
    job.entries.forEach((entry, n) => {
      if (entry.kind === "fix" && !family.faults[entry.fault] && !family.suspects[entry.fault])
        found.push(gone(book, family, entry.fault, n));
    });
    return found;
  }

  /**
   * @param {BenchBook} book
   * @param {BenchFamily} family
   * @param {string} fault
   * @param {number} n
   */
  function gone(book, family, fault, n) {
    const opening = "Entry " + (n + 1) + " tried the fix of '" + fault + "', ";
    const retired = book.retired[fault];
    if (!retired) return opening + "which this book does not have. The entry is kept.";
    const now = family.faults[currentId(book, fault)];
    if (now)
      return opening + "which is now part of '" + now.title + "'. The entry is kept and counts for that.";
    return (
      opening +
      "which has been withdrawn from the book since: " +
      (retired.retired || "no reason is given") +
      ". The entry is kept."
    );
  }

  /**
   * The id under which a fault stands in the book now.
   * @param {BenchBook} book
   * @param {string} id
   */
  function currentId(book, id) {
    let now = id;
    for (let hops = 0; hops < 10; hops += 1) {
      const retired = book.retired[now];
      if (!retired?.moved_to) return now;
      now = retired.moved_to;
    }
    return now;
  }

  benchlore.assess = {
    assess,
    judge,
    settles,
    reasons,
    clashes,
    currentId,
    standsAt,
    standing,
    begins,
    placed,
    measuredAgain,
    whose,
    mendsAlso,
    takenFor,
  };
})();
