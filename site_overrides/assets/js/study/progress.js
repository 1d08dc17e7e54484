/*
 * What a trainee has learnt, as plain data, and its file. The form of the file is schema/progress.schema.json.
 * Pure functions: nothing here reads a clock or a store.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));

  const FORMAT = "benchlore-study-progress";
  const VERSION = 1;
  const LARGEST = 5000000;
  const LONGEST = 200;
  const MOST_JOBS = 500;
  const EXERCISES = ["path", "reads", "means", "setup", "job"];

  /** Nothing learnt yet. @returns {StudyProgress} */
  function empty() {
    return { turn: 0, cards: {}, jobs: [], session: null };
  }

  /**
   * A card was answered. Right before its time is practice: it leaves the date as it is.
   * @param {StudyProgress} progress
   * @param {string} card
   * @param {number} grade
   * @param {number} day
   * @returns {StudyProgress}
   */
  function answered(progress, card, grade, day) {
    const before = progress.cards[card] || null;
    const early = before !== null && !study.schedule.isDue(before, day) && grade >= study.schedule.PASSED;
    const after = early
      ? Object.assign({}, before, { asked: before.asked + 1 })
      : study.schedule.review(before, grade, day);
    return Object.assign({}, progress, { cards: Object.assign({}, progress.cards, { [card]: after }) });
  }

  /**
   * @param {StudyProgress} progress
   * @param {StudySession | null} session
   * @returns {StudyProgress}
   */
  function withSession(progress, session) {
    return Object.assign({}, progress, { session });
  }

  /**
   * A simulated job came to its end.
   * @param {StudyProgress} progress
   * @param {StudyJobResult} result
   * @returns {StudyProgress}
   */
  function withJob(progress, result) {
    return Object.assign({}, progress, { jobs: progress.jobs.concat([result]).slice(-MOST_JOBS) });
  }

  /**
   * Two records of one trainee made into one: of each card the later state, all jobs, the session of `mine`.
   * @param {StudyProgress} mine
   * @param {StudyProgress} other
   * @returns {StudyProgress}
   */
  function merged(mine, other) {
    /** @type {Record<string, StudyState>} */
    const cards = Object.assign({}, other.cards);
    for (const [id, state] of Object.entries(mine.cards)) {
      const there = cards[id];
      if (!there || state.last > there.last || (state.last === there.last && state.asked >= there.asked))
        cards[id] = state;
    }
    const known = new Set(mine.jobs.map(keyOf));
    const jobs = other.jobs.filter((job) => !known.has(keyOf(job))).concat(mine.jobs);
    return {
      turn: Math.max(mine.turn, other.turn),
      cards,
      jobs: jobs.slice(-MOST_JOBS),
      session: mine.session,
    };
  }

  /** @param {StudyJobResult} job */
  function keyOf(job) {
    return [job.day, job.seed, job.symptom, job.minutes].join("/");
  }

  /**
   * The text of a progress file.
   * @param {string} trainee
   * @param {string} saved date, ISO 8601
   * @param {Record<string, StudyProgress>} families
   */
  function format(trainee, saved, families) {
    return JSON.stringify({ format: FORMAT, version: VERSION, trainee, saved, families }, null, 1) + "\n";
  }

  /**
   * What a file holds. Throws Error with the reason in words: then nothing of it is used.
   * @param {string} text
   * @returns {StudyFile}
   */
  function parse(text) {
    if (text.length > LARGEST)
      throw new Error("The file is too large for a progress file (over 5 million characters).");
    if (!text.trim()) throw new Error("The file is empty.");
    let data;
    try {
      data = JSON.parse(text);
    } catch (error) {
      throw new Error(
        "The file is not JSON, or it is cut short: " +
          (error instanceof Error ? error.message : String(error)),
      );
    }
    const file = object(data, "the file");
    if (file.format !== FORMAT)
      throw new Error("This is not a study progress file ('format' is not '" + FORMAT + "').");
    if (file.version !== VERSION) {
      throw new Error(
        "The file was saved in form " +
          String(file.version) +
          "; this page reads form " +
          VERSION +
          ". Open it with the site that saved it.",
      );
    }
    /** @type {Record<string, StudyProgress>} */
    const families = {};
    for (const [id, one] of Object.entries(object(file.families, "families")))
      families[key(id, "families")] = check(one, id);
    return { trainee: word(file.trainee, "trainee"), saved: word(file.saved, "saved"), families };
  }

  /**
   * The progress of one family, or Error with what is wrong and where.
   * @param {unknown} data
   * @param {string} where
   * @returns {StudyProgress}
   */
  function check(data, where) {
    const one = object(data, where);
    /** @type {Record<string, StudyState>} */
    const cards = {};
    for (const [id, state] of Object.entries(object(one.cards, where + ", cards"))) {
      cards[key(id, where + ", cards")] = stateOf(state, where + ", card '" + id.slice(0, 60) + "'");
    }
    return {
      turn: count(one.turn, where + ", turn"),
      cards,
      jobs: list(one.jobs, where + ", jobs").map((job, n) => jobOf(job, where + ", job " + (n + 1))),
      session: one.session === null ? null : sessionOf(one.session, where + ", session"),
    };
  }

  /**
   * @param {unknown} data
   * @param {string} where
   * @returns {StudyState}
   */
  function stateOf(data, where) {
    const state = object(data, where);
    return {
      reps: count(state.reps, where + ", reps"),
      ease: between(state.ease, 130, 100000, where + ", ease"),
      interval: count(state.interval, where + ", interval"),
      due: count(state.due, where + ", due"),
      last: count(state.last, where + ", last"),
      grade: between(state.grade, 0, 5, where + ", grade"),
      again: truth(state.again, where + ", again"),
      asked: count(state.asked, where + ", asked"),
      wrong: count(state.wrong, where + ", wrong"),
    };
  }

  /**
   * @param {unknown} data
   * @param {string} where
   * @returns {StudyJobResult}
   */
  function jobOf(data, where) {
    const job = object(data, where);
    const end = word(job.end, where + ", end");
    if (end !== "mended" && end !== "escalated" && end !== "came-back") {
      throw new Error(
        "Damaged progress: " + where + " ends as '" + end + "', not 'mended', 'escalated' or 'came-back'.",
      );
    }
    return {
      day: count(job.day, where + ", day"),
      seed: word(job.seed, where + ", seed"),
      symptom: word(job.symptom, where + ", symptom"),
      minutes: amount(job.minutes, where + ", minutes"),
      plan: amount(job.plan, where + ", plan"),
      missed: count(job.missed, where + ", missed"),
      end,
    };
  }

  /**
   * @param {unknown} data
   * @param {string} where
   * @returns {StudySession}
   */
  function sessionOf(data, where) {
    const session = object(data, where);
    const exercise = word(session.exercise, where + ", exercise");
    if (!EXERCISES.includes(exercise))
      throw new Error("Damaged progress: " + where + " is of the unknown exercise '" + exercise + "'.");
    const cards = words(session.cards, where + ", cards");
    if (cards.length === 0) throw new Error("Damaged progress: " + where + " has no cards.");
    return {
      exercise,
      seed: word(session.seed, where + ", seed"),
      typed: truth(session.typed, where + ", typed"),
      day: count(session.day, where + ", day"),
      cards,
      answers: list(session.answers, where + ", answers").map((answer, n) =>
        answerOf(answer, where + ", answer " + (n + 1)),
      ),
      events: list(session.events, where + ", events").map((event, n) =>
        eventOf(event, where + ", event " + (n + 1)),
      ),
    };
  }

  /**
   * @param {unknown} data
   * @param {string} where
   * @returns {StudyAnswer}
   */
  function answerOf(data, where) {
    const answer = object(data, where);
    if (!["sure", "fairly", "guess"].includes(answer.sure))
      throw new Error("Damaged progress: " + where + " does not say how sure it was.");
    /** @type {Record<string, any>} */
    const found = { sure: answer.sure };
    if (answer.unknown !== undefined) found.unknown = truth(answer.unknown, where + ", unknown");
    for (const key of ["range", "from", "to", "outcome"])
      if (answer[key] !== undefined) found[key] = word(answer[key], where + ", " + key);
    if (answer.faults !== undefined) {
      const faults = object(answer.faults, where + ", faults");
      found.faults = Object.fromEntries(
        Object.entries(faults).map(([id, bearing]) => [
          key(id, where + ", faults"),
          word(bearing, where + ", faults"),
        ]),
      );
    }
    if (answer.choice !== undefined) {
      const choice = object(answer.choice, where + ", choice");
      found.choice = {};
      for (const key of ["state", "mode", "leads", "ceiling"])
        if (choice[key] !== undefined) found.choice[key] = word(choice[key], where + ", " + key);
      for (const key of ["unplugged", "guards"])
        if (choice[key] !== undefined) found.choice[key] = words(choice[key], where + ", " + key);
    }
    return /** @type {StudyAnswer} */ (found);
  }

  /**
   * @param {unknown} data
   * @param {string} where
   * @returns {StudyEvent}
   */
  function eventOf(data, where) {
    const event = object(data, where);
    if (event.do === "measure") {
      return {
        do: "measure",
        measure: word(event.measure, where + ", measure"),
        state: word(event.state, where + ", state"),
        unplugged: words(event.unplugged, where + ", unplugged"),
        guards: words(event.guards, where + ", guards"),
      };
    }
    if (event.do === "fix") {
      const state = event.state === undefined ? {} : { state: word(event.state, where + ", state") };
      return {
        do: "fix",
        fault: word(event.fault, where + ", fault"),
        action: word(event.action, where + ", action"),
        ...state,
        guards: words(event.guards, where + ", guards"),
      };
    }
    if (event.do === "confirm") return { do: "confirm", measure: word(event.measure, where + ", measure") };
    if (event.do === "judge") return { do: "judge", proved: truth(event.proved, where + ", proved") };
    if (event.do === "escalate") return { do: "escalate" };
    throw new Error("Damaged progress: " + where + " is of the unknown kind '" + String(event.do) + "'.");
  }

  /**
   * @param {unknown} value
   * @param {string} where
   */
  function words(value, where) {
    return list(value, where).map((one) => word(one, where));
  }

  /**
   * @param {unknown} value
   * @param {string} where
   * @returns {Record<string, any>}
   */
  function object(value, where) {
    if (value === null || typeof value !== "object" || Array.isArray(value))
      throw new Error("Damaged progress: " + where + " is not an object.");
    return /** @type {Record<string, any>} */ (value);
  }

  /**
   * @param {unknown} value
   * @param {string} where
   * @returns {unknown[]}
   */
  function list(value, where) {
    if (!Array.isArray(value)) throw new Error("Damaged progress: " + where + " is not a list.");
    return value;
  }

  /**
   * @param {unknown} value
   * @param {string} where
   * @returns {string}
   */
  function word(value, where) {
    if (typeof value !== "string")
      throw new Error("Damaged progress: " + where + " is missing or not a text.");
    if (value.length > LONGEST)
      throw new Error("Damaged progress: " + where + " is longer than " + LONGEST + " characters.");
    return value;
  }

  /**
   * The name of an entry. One by which objects know their kind would vanish when it is copied: it is refused.
   * @param {string} name
   * @param {string} where
   */
  function key(name, where) {
    if (name === "__proto__")
      throw new Error("Damaged progress: " + where + " has an entry of the name '__proto__'.");
    return word(name, where);
  }

  /**
   * @param {unknown} value
   * @param {string} where
   * @returns {boolean}
   */
  function truth(value, where) {
    if (typeof value !== "boolean")
      throw new Error("Damaged progress: " + where + " is missing or not true or false.");
    return value;
  }

  /**
   * @param {unknown} value
   * @param {string} where
   * @returns {number}
   */
  function amount(value, where) {
    if (typeof value !== "number" || !Number.isFinite(value) || value < 0)
      throw new Error("Damaged progress: " + where + " is missing or not a number from 0 up.");
    return value;
  }

  /**
   * @param {unknown} value
   * @param {string} where
   */
  function count(value, where) {
    if (!Number.isInteger(amount(value, where)))
      throw new Error("Damaged progress: " + where + " is not a whole number.");
    return /** @type {number} */ (value);
  }

  /**
   * @param {unknown} value
   * @param {number} least
   * @param {number} most
   * @param {string} where
   */
  function between(value, least, most, where) {
    const found = count(value, where);
    if (found < least || found > most)
      throw new Error(
        "Damaged progress: " + where + " is " + found + ", outside " + least + " to " + most + ".",
      );
    return found;
  }

  study.progress = { FORMAT, VERSION, empty, answered, withSession, withJob, merged, format, parse, check };
})();
