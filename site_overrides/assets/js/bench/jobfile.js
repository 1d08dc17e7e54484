/*
 * Saved jobs: the check of what comes from outside (a file, an address, the store), and the text that is saved.
 * The form is that of schema/job.schema.json.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  const { form } = benchlore;
  const FORM = benchlore.forms.job;
  const TOLD = { what: "job", name: "job", limit: 2000000 };

  /**
   * The job in a file's text. Throws Error with the reason in words.
   * @type {(text: string) => BenchJob}
   */
  function parse(text) {
    return whole(form.read(FORM, text, TOLD));
  }

  /**
   * The job, or Error with what is wrong and where.
   * @type {(data: unknown) => BenchJob}
   */
  function check(data) {
    form.check(FORM, data, TOLD.what);
    return whole(/** @type {BenchJob} */ (data));
  }

  /**
   * A job with everything that its file may leave out, in one order. Throws Error where its words tell whose device it
   * was.
   * @type {(job: BenchJob) => BenchJob}
   */
  function whole(job) {
    const { format, version, id, label = "", family, revision, symptoms, words = "", meter } = job;
    const { started = "", notes = "" } = job;
    for (const [name, text] of Object.entries({ words, notes })) {
      const refusal = benchlore.personal.refusal(text);
      if (refusal) throw new Error("The " + name + " of this job: " + refusal + ". Take it out.");
    }
    const entries = job.entries.map(wholeEntry);
    const setup = { label, family, revision, symptoms, words, meter };
    const ordered = { format, version, id, ...setup, started, notes, entries };
    return benchlore.job.begin(ordered).base;
  }

  /** @type {(entry: BenchEntry) => BenchEntry} */
  function wholeEntry(entry) {
    const { at = "" } = entry;
    if (entry.kind === "escalate") return { kind: "escalate", at };
    if (entry.kind === "reading") return { kind: "reading", ...taken(entry), at };
    const { kind, fault, result, symptom, confirm } = entry;
    return { kind, fault, result, symptom, confirm: confirm.map(taken), at };
  }

  /** @type {(entry: BenchTaken) => BenchTaken} */
  function taken({ measure, meter, text }) {
    return { measure, meter, text };
  }

  /**
   * A log from the store. Throws Error like `check`.
   * @type {(data: any) => BenchLog}
   */
  function checkLog(data) {
    form.check(LOG, data, TOLD.what);
    const steps = data.steps.map(wholeStep);
    const cursor = Math.min(steps.length, data.cursor ?? steps.length);
    return { base: check(data.base), steps, cursor };
  }

  /** @type {(step: BenchStep) => BenchStep} */
  function wholeStep(step) {
    return "entry" in step ? { ...step, entry: wholeEntry(step.entry) } : step;
  }

  // What the store adds to a job: the steps taken since it was begun or opened.
  const { label, family, revision, meter, symptoms, words, notes, entries } = FORM.properties;
  const AT = { type: "integer", minimum: 0 };
  const LOG = {
    type: "object",
    required: ["base", "steps"],
    properties: {
      cursor: AT,
      steps: {
        type: "array",
        items: {
          oneOf: [
            step("set", {
              setup: {
                type: "object",
                properties: { label, family, revision, meter, symptoms, words, notes },
              },
            }),
            step("add", { entry: entries.items }),
            step("edit", { at: AT, entry: entries.items }),
            step("remove", { at: AT }),
          ],
        },
      },
    },
  };

  /**
   * @param {string} name
   * @param {Record<string, FormSchema>} more
   */
  function step(name, more) {
    return { type: "object", required: Object.keys(more), properties: { do: { const: name }, ...more } };
  }

  /**
   * The text of a job's file.
   * @param {BenchJob} job
   */
  function format(job) {
    return JSON.stringify(job, null, 2) + "\n";
  }

  benchlore.jobfile = { parse, check, checkLog, format };
})();
