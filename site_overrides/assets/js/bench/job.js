/*
 * A job: what is on the bench and every entry made. Pure functions over immutable objects.
 *
 * A log is a starting job, the steps taken since, and how many of them hold (`cursor`). Undo and redo move the
 * cursor, so nothing that was entered is lost until another step is taken from an earlier place.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  /** The version of the saved form; schema/job.schema.json describes it. */
  const VERSION = 1;
  const FORMAT = "benchlore-job";

  /**
   * A job without entries.
   * @param {string} id
   * @param {Partial<BenchSetup>} setup
   * @param {string} [started] ISO 8601
   * @returns {BenchJob}
   */
  function create(id, setup, started) {
    return freeze({
      format: FORMAT,
      version: VERSION,
      id: id,
      label: setup.label || "",
      family: setup.family || "",
      revision: setup.revision || "",
      symptoms: setup.symptoms || [],
      words: setup.words || "",
      meter: setup.meter || "",
      started: started || "",
      notes: setup.notes || "",
      entries: [],
    });
  }

  /**
   * The log of a job that was just begun or loaded.
   * @type {(job: BenchJob) => BenchLog}
   */
  function begin(job) {
    return freeze({ base: job, steps: [], cursor: 0 });
  }

  /**
   * The job as it stands at the cursor.
   * @type {(log: BenchLog) => BenchJob}
   */
  function present(log) {
    return at(log, log.cursor);
  }

  /**
   * The job after the first `count` steps.
   * @type {(log: BenchLog, count: number) => BenchJob}
   */
  function at(log, count) {
    return log.steps.slice(0, count).reduce(apply, log.base);
  }

  /**
   * The log with one more step. Steps that were undone are dropped: the job went another way.
   * @type {(log: BenchLog, step: BenchStep) => BenchLog}
   */
  function take(log, step) {
    const steps = log.steps.slice(0, log.cursor).concat([step]);
    return freeze({ base: log.base, steps: steps, cursor: steps.length });
  }

  /** @param {BenchLog} log */
  function canUndo(log) {
    return log.cursor > 0;
  }

  /** @param {BenchLog} log */
  function canRedo(log) {
    return log.cursor < log.steps.length;
  }

  /** @param {BenchLog} log @returns {BenchLog} */
  function undo(log) {
    return canUndo(log) ? freeze({ base: log.base, steps: log.steps, cursor: log.cursor - 1 }) : log;
  }

  /** @param {BenchLog} log @returns {BenchLog} */
  function redo(log) {
    return canRedo(log) ? freeze({ base: log.base, steps: log.steps, cursor: log.cursor + 1 }) : log;
  }

  /**
   * A job with one step applied. A step that names an entry that is not there leaves the job as it is.
   * @type {(job: BenchJob, step: BenchStep) => BenchJob}
   */
  function apply(job, step) {
    if (step.do === "set") return freeze(Object.assign({}, job, step.setup));
    const entries = job.entries.slice();
    if (step.do === "add") entries.push(step.entry);
    else if (step.at < 0 || step.at >= entries.length) return job;
    else if (step.do === "edit") entries[step.at] = step.entry;
    else entries.splice(step.at, 1);
    return freeze(Object.assign({}, job, { entries: entries }));
  }

  /**
   * What the job came to: open, proved (a fix was confirmed) or escalated.
   * @type {(job: BenchJob) => {state: "open" | "proved" | "escalated", fault: string}}
   */
  function outcome(job) {
    for (const entry of job.entries) {
      if (entry.kind === "fix" && entry.result === "proved") return { state: "proved", fault: entry.fault };
    }
    const given = job.entries.some((entry) => entry.kind === "escalate");
    return { state: given ? "escalated" : "open", fault: "" };
  }

  /**
   * Faults that a fix was tried for without success.
   * @type {(job: BenchJob) => string[]}
   */
  function ruledOut(job) {
    /** @type {string[]} */
    const found = [];
    for (const entry of job.entries) {
      if (entry.kind === "fix" && entry.result === "failed") found.push(entry.fault);
    }
    return found;
  }

  /**
   * True when the last that was done stands in the log as it was done: nothing was undone or removed since.
   * @param {BenchLog} log
   */
  function lastStands(log) {
    const changes = log.steps
      .slice(0, log.cursor)
      .filter((step) => step.do === "add" || step.do === "remove");
    return !canRedo(log) && changes.length > 0 && changes[changes.length - 1].do === "add";
  }

  /**
   * True when nothing was read since a fix was tried.
   * @param {BenchJob} job
   */
  function triedLast(job) {
    return job.entries.length > 0 && job.entries[job.entries.length - 1].kind === "fix";
  }

  /**
   * True when the job can be diagnosed: a family is known, and a symptom, the customer's words or a reading.
   * @param {BenchJob} job
   */
  function ready(job) {
    return job.family !== "" && (told(job) || job.entries.length > 0);
  }

  /**
   * True when it is said what is wrong, in the book's words or in the customer's.
   * @param {BenchJob} job
   */
  function told(job) {
    return job.symptoms.length > 0 || job.words !== "";
  }

  /**
   * A new id: time and chance, so that two PCs do not make the same one.
   * @param {number} now milliseconds
   * @param {() => number} random 0 to 1
   */
  function newId(now, random) {
    return now.toString(36) + "-" + Math.floor(random() * 0x7fffffff).toString(36);
  }

  /**
   * @template T
   * @param {T} value
   * @returns {T}
   */
  function freeze(value) {
    if (value && typeof value === "object" && !Object.isFrozen(value)) {
      Object.values(value).forEach(freeze);
      Object.freeze(value);
    }
    return value;
  }

  benchlore.job = {
    FORMAT,
    VERSION,
    create,
    begin,
    present,
    at,
    take,
    canUndo,
    canRedo,
    undo,
    redo,
    outcome,
    ruledOut,
    triedLast,
    lastStands,
    told,
    ready,
    newId,
  };
})();
