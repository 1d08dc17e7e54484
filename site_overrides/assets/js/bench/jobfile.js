/*
 * Saved jobs: the check of what comes from outside (a file, an address, the store), and the text that is saved.
 * The form is that of schema/job.schema.json.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  const LIMIT = 2000000;
  const LONGEST = 200;

  /**
   * The job in a file's text. Throws Error with the reason in words.
   * @param {string} text
   * @returns {BenchJob}
   */
  function parse(text) {
    if (text.length > LIMIT) throw new Error("The file is too large for a job (over 2 million characters).");
    let data;
    try {
      data = JSON.parse(text);
    } catch (error) {
      throw new Error("The file is not JSON, or it is cut short: " + said(error));
    }
    return check(data);
  }

  /**
   * The job, or Error with what is wrong and where.
   * @param {unknown} data
   * @returns {BenchJob}
   */
  function check(data) {
    const job = object(data, "the file");
    if (job.format !== benchlore.job.FORMAT)
      throw new Error(
        "This is not a job saved by this page ('format' is not '" + benchlore.job.FORMAT + "').",
      );
    if (job.version !== benchlore.job.VERSION) {
      throw new Error(
        "The job was saved in form " +
          String(job.version) +
          "; this page reads form " +
          benchlore.job.VERSION +
          ". Open it with the site that saved it.",
      );
    }
    const checked = {
      format: benchlore.job.FORMAT,
      version: benchlore.job.VERSION,
      id: word(job.id, "id"),
      label: word(job.label === undefined ? "" : job.label, "label"),
      family: word(job.family, "family"),
      revision: word(job.revision, "revision"),
      symptoms: list(job.symptoms, "symptoms").map((id, n) => word(id, "symptoms, number " + (n + 1))),
      meter: word(job.meter, "meter"),
      started: word(job.started === undefined ? "" : job.started, "started"),
      entries: list(job.entries, "entries").map((entry, n) => readEntry(entry, "entry " + (n + 1))),
    };
    return benchlore.job.begin(checked).base;
  }

  /**
   * @param {unknown} data
   * @param {string} where
   * @returns {BenchEntry}
   */
  function readEntry(data, where) {
    const entry = object(data, where);
    const time = word(entry.at === undefined ? "" : entry.at, where + ", at");
    if (entry.kind === "reading")
      return Object.assign({ kind: /** @type {const} */ ("reading") }, taken(entry, where), { at: time });
    if (entry.kind === "escalate") return { kind: "escalate", at: time };
    if (entry.kind === "fix") {
      if (entry.result !== "proved" && entry.result !== "failed") {
        throw new Error(
          "Damaged job: " +
            where +
            " has the result '" +
            String(entry.result) +
            "', not 'proved' or 'failed'.",
        );
      }
      if (entry.symptom !== "gone" && entry.symptom !== "still") {
        throw new Error(
          "Damaged job: " +
            where +
            " has the symptom '" +
            String(entry.symptom) +
            "', not 'gone' or 'still'.",
        );
      }
      return {
        kind: "fix",
        fault: word(entry.fault, where + ", fault"),
        result: entry.result,
        symptom: entry.symptom,
        confirm: list(entry.confirm, where + ", confirm").map((item) => taken(object(item, where), where)),
        at: time,
      };
    }
    throw new Error("Damaged job: " + where + " is of the unknown kind '" + String(entry.kind) + "'.");
  }

  /**
   * @param {Record<string, unknown>} entry
   * @param {string} where
   * @returns {BenchTaken}
   */
  function taken(entry, where) {
    return {
      measure: word(entry.measure, where + ", measure"),
      meter: word(entry.meter, where + ", meter"),
      text: word(entry.text, where + ", text"),
    };
  }

  /**
   * A log from the store. Throws Error like `check`.
   * @param {unknown} data
   * @returns {BenchLog}
   */
  function checkLog(data) {
    const log = object(data, "the stored job");
    const steps = list(log.steps, "steps").map(readStep);
    const cursor =
      typeof log.cursor === "number"
        ? Math.max(0, Math.min(steps.length, Math.floor(log.cursor)))
        : steps.length;
    return { base: check(log.base), steps: steps, cursor: cursor };
  }

  /**
   * @param {unknown} data
   * @param {number} number
   * @returns {BenchStep}
   */
  function readStep(data, number) {
    const where = "step " + (number + 1);
    const step = object(data, where);
    const place = typeof step.at === "number" ? step.at : -1;
    if (step.do === "set") return { do: "set", setup: setup(object(step.setup, where), where) };
    if (step.do === "add") return { do: "add", entry: readEntry(step.entry, where) };
    if (step.do === "edit") return { do: "edit", at: place, entry: readEntry(step.entry, where) };
    if (step.do === "remove") return { do: "remove", at: place };
    throw new Error("Damaged job: " + where + " is of the unknown kind '" + String(step.do) + "'.");
  }

  /**
   * @param {Record<string, unknown>} data
   * @param {string} where
   * @returns {Partial<BenchSetup>}
   */
  function setup(data, where) {
    /** @type {{label?: string, family?: string, revision?: string, meter?: string, symptoms?: string[]}} */
    const found = {};
    for (const key of /** @type {const} */ (["label", "family", "revision", "meter"])) {
      if (data[key] !== undefined) found[key] = word(data[key], where + ", " + key);
    }
    if (data.symptoms !== undefined) found.symptoms = list(data.symptoms, where).map((id) => word(id, where));
    return found;
  }

  /**
   * The text of a job's file.
   * @param {BenchJob} job
   */
  function format(job) {
    return JSON.stringify(job, null, 2) + "\n";
  }

  /**
   * @param {unknown} value
   * @param {string} where
   * @returns {Record<string, unknown>}
   */
  function object(value, where) {
    if (value === null || typeof value !== "object" || Array.isArray(value)) {
      throw new Error("Damaged job: " + where + " is not an object.");
    }
    return /** @type {Record<string, unknown>} */ (value);
  }

  /**
   * @param {unknown} value
   * @param {string} where
   * @returns {unknown[]}
   */
  function list(value, where) {
    if (!Array.isArray(value)) throw new Error("Damaged job: '" + where + "' is not a list.");
    return value;
  }

  /**
   * @param {unknown} value
   * @param {string} where
   * @returns {string}
   */
  function word(value, where) {
    if (typeof value !== "string") throw new Error("Damaged job: '" + where + "' is missing or not a text.");
    if (value.length > LONGEST)
      throw new Error("Damaged job: '" + where + "' is longer than " + LONGEST + " characters.");
    return value;
  }

  /** @param {unknown} error */
  function said(error) {
    return error instanceof Error ? error.message : String(error);
  }

  benchlore.jobfile = { parse, check, checkLog, format };
})();
