/*
 * Update: a step changes the job; then it is computed anew, kept, written into the address, and shown.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const book = benchlore.benchBook;
  const { state: desk, freshId, now } = benchlore.desk;
  const { show, message, dropMessage, download } = benchlore.render;
  /** Milliseconds until an address that the browser refused is tried again. */
  const PATIENCE = 2000;

  /**
   * Take a step, keep it, show what follows.
   * @param {BenchStep} step
   */
  function take(step) {
    desk.log = benchlore.job.take(desk.log, step);
    // What is done next is done on a bench that was set up otherwise meanwhile: its steps begin anew.
    if (step.do === "add") desk.ui.steps = {};
    changed();
  }

  /** The job changed: compute, keep, show; make ready for what comes. */
  function changed() {
    desk.ui.trial = null;
    desk.ui.supposing = false;
    desk.ui.chosen = null;
    desk.ui.proving = -1;
    desk.ui.refusals = {};
    compute();
    keep();
    show();
    benchlore.prepare(desk.family);
  }

  function compute() {
    const job = benchlore.job.present(desk.log);
    desk.assessment =
      benchlore.job.ready(job) && desk.family.id === job.family
        ? benchlore.assess.assess(book, desk.family, job)
        : null;
    // Of a job that was opened, and after an entry was taken back, nobody knows how the bench stands.
    if (desk.assessment && !(job.entries.length > desk.ui.opened && benchlore.job.lastStands(desk.log)))
      desk.assessment = Object.assign({}, desk.assessment, { stands: desk.assessment.one.setUps[0] });
    if (!desk.assessment) desk.ui.view = "setup";
  }

  function keep() {
    writeAddress();
    const job = benchlore.job.present(desk.log);
    if (!benchlore.job.told(job) && job.entries.length === 0 && !job.label && !job.notes) return;
    const mine = desk.log;
    benchlore.keep.save(mine, now()).then((how) => {
      if (how === "kept") ["store", "unkept"].forEach(dropMessage);
      if (how === "failed")
        message(
          "store",
          "This browser could not keep the job. It stands in the address and in this tab; save it to a file before you close the page.",
          "Save the job",
          saveJob,
        );
      if (how === "elsewhere" && desk.log.base.id === mine.base.id) branch();
    });
    benchlore.keep.remember(job);
  }

  /** Another window wrote this job meanwhile: what stands here goes on as a job of its own. */
  function branch() {
    desk.log = withId(desk.log, freshId());
    message(
      "elsewhere",
      "Another window has changed this job meanwhile. What you have here goes on as a job of its own; the other is under Jobs.",
    );
    compute();
    keep();
    show();
  }

  /**
   * @param {BenchLog} from
   * @param {string} id
   * @returns {BenchLog}
   */
  function withId(from, id) {
    return { base: Object.assign({}, from.base, { id }), steps: from.steps, cursor: from.cursor };
  }

  let addressTimer = 0;

  /** The state into the address, once this turn's work is done: some browsers take their time over it. */
  function writeAddress() {
    window.clearTimeout(addressTimer);
    addressTimer = window.setTimeout(replaceAddress, 0);
  }

  /** A browser that is asked too often refuses for a while; then it is tried again. */
  function replaceAddress() {
    window.clearTimeout(addressTimer);
    desk.written = "#" + benchlore.address.encode(benchlore.job.present(desk.log));
    try {
      history.replaceState(null, "", desk.written);
    } catch {
      addressTimer = window.setTimeout(replaceAddress, PATIENCE);
    }
  }

  /** Show the choice of board, symptoms and meter. */
  function toSetup() {
    desk.ui.view = "setup";
    desk.ui.focus = "setup-title";
    show();
  }

  /** The job as a file. */
  function saveJob() {
    const job = benchlore.job.present(desk.log);
    download(fileName(job) + ".json", benchlore.jobfile.format(job));
  }

  /** @param {BenchJob} job */
  function fileName(job) {
    return "job-" + (job.label.replace(/[^A-Za-z0-9-]+/g, "-") || job.id);
  }

  benchlore.update = {
    take,
    changed,
    compute,
    keep,
    withId,
    writeAddress,
    replaceAddress,
    toSetup,
    saveJob,
    fileName,
  };
})();
