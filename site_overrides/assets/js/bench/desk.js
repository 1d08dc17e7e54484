/*
 * The desk: the job that is open and what the page shows of it. Everything that changes on the page is here; what a
 * person does (desk-acts.js) changes it, and the views are made from a snapshot of it.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const book = benchlore.benchBook;
  /** Milliseconds until an address that the browser refused is tried again. */
  const PATIENCE = 2000;
  /** @type {BenchFamily} */
  const NO_FAMILY = {
    format: 2,
    id: "",
    title: "",
    kind: "other",
    page: "",
    revisions: {},
    nets: {},
    parts: {},
    test_points: {},
    measurements: {},
    faults: {},
  };

  /**
   * Let data answer for its own names alone: a foreign id such as `constructor` finds nothing.
   * @template {object} T
   * @param {T} data
   * @returns {T}
   */
  function ownNames(data) {
    for (const map of Object.values(data)) {
      if (typeof map === "object" && map !== null && !Array.isArray(map)) Object.setPrototypeOf(map, null);
    }
    return data;
  }
  ownNames(book);

  /**
   * @param {"setup" | "work"} view
   * @returns {BenchUi}
   */
  function freshUi(view) {
    return {
      view,
      chosen: null,
      trial: null,
      drafts: {},
      refusals: {},
      editing: -1,
      dialog: "",
      allFaults: false,
      readingMeter: "",
      jobs: [],
      removing: "",
      messages: [],
      focus: "",
    };
  }

  function freshId() {
    return benchlore.job.newId(Date.now(), Math.random);
  }

  function now() {
    return new Date().toISOString().slice(0, 19);
  }

  /** @type {BenchDeskState} */
  const desk = {
    log: benchlore.job.begin(benchlore.job.create(freshId(), {})),
    family: NO_FAMILY,
    assessment: null,
    ui: freshUi("setup"),
    written: "",
  };

  /** @returns {BenchPage} */
  function snapshot() {
    const job = benchlore.job.present(desk.log);
    const best = desk.assessment
      ? desk.assessment.choices[0]
      : /** @type {BenchAction} */ ({ kind: "escalate", index: -1, id: "", minutes: 0, expected: 0 });
    return {
      book,
      family: desk.family,
      log: desk.log,
      job,
      ui: desk.ui,
      act: benchlore.acts,
      assessment: /** @type {BenchAssessment} */ (desk.assessment),
      next: desk.ui.chosen || best,
      outcome: benchlore.job.outcome(job),
      trial: desk.ui.trial,
      readingMeter: desk.ui.readingMeter || job.meter,
      met: metHazards(job),
      titleOf: (index) => titleOf(index),
      faultTitle: (id) => faultTitle(id),
      actionName: (action) => actionName(action),
    };
  }

  /** @param {number} index */
  function titleOf(index) {
    const id = desk.assessment ? desk.assessment.one.faults[index] : "";
    return id ? faultTitle(id) : "Not in the book";
  }

  /** @param {string} id */
  function faultTitle(id) {
    const fault = desk.family.faults[id] || desk.family.faults[benchlore.assess.currentId(book, id)];
    return fault ? fault.title : id;
  }

  /** @param {{kind: BenchKind, id: string}} action */
  function actionName(action) {
    if (action.kind === "escalate") return "Escalate: " + book.shop.escalate.to;
    if (action.kind === "fix") return "Fix: " + faultTitle(action.id);
    return benchlore.parts.nameOf(book, desk.family, action.id);
  }

  /**
   * Hazards of the readings taken so far: they have been shown in full in this job.
   * @param {BenchJob} job
   */
  function metHazards(job) {
    /** @type {Set<string>} */
    const met = new Set();
    for (const entry of job.entries) {
      const measurement = entry.kind === "reading" ? desk.family.measurements[entry.measure] : undefined;
      if (measurement) measurement.links.hazards.forEach((id) => met.add(id));
    }
    return [...met];
  }

  /**
   * Take a step, keep it, show what follows.
   * @param {BenchStep} step
   */
  function take(step) {
    desk.log = benchlore.job.take(desk.log, step);
    changed();
  }

  /** The job changed: compute, keep, show; make ready for what comes. */
  function changed() {
    desk.ui.trial = null;
    desk.ui.chosen = null;
    desk.ui.refusals = {};
    compute();
    keep();
    benchlore.deskView.show();
    benchlore.prepare(desk.family);
  }

  function compute() {
    const job = benchlore.job.present(desk.log);
    desk.assessment =
      benchlore.job.ready(job) && desk.family.id === job.family
        ? benchlore.assess.assess(book, desk.family, job)
        : null;
    if (!desk.assessment) desk.ui.view = "setup";
  }

  function keep() {
    writeAddress();
    const job = benchlore.job.present(desk.log);
    if (job.symptoms.length === 0 && job.entries.length === 0 && !job.label) return;
    const mine = desk.log;
    benchlore.keep.save(mine, now()).then((how) => {
      if (how === "kept") ["store", "unkept"].forEach(benchlore.deskView.dropMessage);
      if (how === "failed")
        benchlore.deskView.message(
          "store",
          "This browser could not keep the job. It stands in the address and in this tab; save it to a file before you close the page.",
          "Save the job",
          () => benchlore.acts.saveFile("json"),
        );
      if (how === "elsewhere" && desk.log.base.id === mine.base.id) branch();
    });
    benchlore.keep.remember(job);
  }

  /** Another window wrote this job meanwhile: what stands here goes on as a job of its own. */
  function branch() {
    desk.log = withId(desk.log, freshId());
    benchlore.deskView.message(
      "elsewhere",
      "Another window has changed this job meanwhile. What you have here goes on as a job of its own; the other is under Jobs.",
    );
    compute();
    keep();
    benchlore.deskView.show();
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

  benchlore.desk = {
    state: desk,
    NO_FAMILY,
    ownNames,
    freshUi,
    freshId,
    now,
    withId,
    snapshot,
    faultTitle,
    actionName,
    take,
    changed,
    compute,
    keep,
    writeAddress,
    replaceAddress,
  };
})();
