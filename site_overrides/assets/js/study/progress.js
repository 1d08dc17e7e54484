/*
 * What a trainee has learnt, as plain data, and its file. The form of the file is schema/progress.schema.json.
 * Pure functions: nothing here reads a clock or a store.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));

  const { form } = benchlore;
  const FORM = benchlore.forms.progress;
  const TOLD = { what: "progress", name: "study progress file", limit: 5000000 };
  const FORMAT = FORM.properties.format.const;
  const VERSION = FORM.properties.version.const;
  const MOST_JOBS = 500;

  /** Nothing learnt yet. @returns {StudyProgress} */
  function empty() {
    return { turn: 0, cards: {}, jobs: [], session: null };
  }

  /**
   * A card was answered. Right before its time is practice: it leaves the date as it is.
   * @type {(progress: StudyProgress, card: string, grade: number, day: number) => StudyProgress}
   */
  function answered(progress, card, grade, day) {
    const before = progress.cards[card] || null;
    const early = before !== null && !study.schedule.isDue(before, day) && grade >= study.schedule.PASSED;
    const after = early
      ? Object.assign({}, before, { asked: before.asked + 1 })
      : study.schedule.review(before, grade, day);
    return Object.assign({}, progress, { cards: Object.assign({}, progress.cards, { [card]: after }) });
  }

  /** @type {(progress: StudyProgress, session: StudySession | null) => StudyProgress} */
  function withSession(progress, session) {
    return Object.assign({}, progress, { session });
  }

  /**
   * A simulated job came to its end.
   * @type {(progress: StudyProgress, result: StudyJobResult) => StudyProgress}
   */
  function withJob(progress, result) {
    return Object.assign({}, progress, { jobs: progress.jobs.concat([result]).slice(-MOST_JOBS) });
  }

  /**
   * Two records of one trainee made into one: of each card the later state, all jobs, the session of `mine`.
   * @type {(mine: StudyProgress, other: StudyProgress) => StudyProgress}
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
   * @type {(text: string) => StudyFile}
   */
  function parse(text) {
    return form.read(FORM, text, TOLD);
  }

  /**
   * The progress of one family, or Error with what is wrong and where.
   * @type {(data: unknown, where: string) => StudyProgress}
   */
  function check(data, where) {
    form.check(FORM.$defs.progress, data, TOLD.what, where, FORM);
    return /** @type {StudyProgress} */ (data);
  }

  study.progress = { FORMAT, VERSION, empty, answered, withSession, withJob, merged, format, parse, check };
})();
