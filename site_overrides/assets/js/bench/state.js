/*
 * State: the job that is open and what the page shows of it. Everything that changes on the page is here. The page's
 * own parts come after it, one way: render.js shows a snapshot of it, update.js changes it, open.js and acts.js say
 * what is changed, keys.js and page.js call them.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const book = benchlore.benchBook;
  /** @type {BenchFamily} */
  const NO_FAMILY = {
    format: 2,
    id: "",
    title: "",
    kind: "other",
    page: "",
    spared: [],
    revisions: {},
    states: {},
    nets: {},
    parts: {},
    test_points: {},
    measurements: {},
    faults: {},
    down: [],
    first: {},
    hypotheses: {},
    suspects: {},
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
   * @param {boolean} [read] whether the standing hazards were
   * @param {number} [opened] entries that the job was opened with
   * @returns {BenchUi}
   */
  function freshUi(view, read = false, opened = 0) {
    return {
      view,
      read,
      opened,
      chosen: null,
      trial: null,
      supposing: false,
      steps: {},
      reached: {},
      proving: -1,
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

  /** @returns {BenchSnapshot} */
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
      assessment: /** @type {BenchAssessment} */ (desk.assessment),
      next: desk.ui.chosen || best,
      outcome: desk.ui.proving < 0 ? benchlore.job.outcome(job) : { state: "open", fault: "" },
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
    return id ? faultTitle(id) : "Something else";
  }

  /** @param {string} id */
  function faultTitle(id) {
    const fault =
      desk.family.faults[id] ||
      desk.family.suspects[id] ||
      desk.family.faults[benchlore.assess.currentId(book, id)];
    return fault ? fault.title : id;
  }

  /** @param {{kind: BenchKind, id: string}} action */
  function actionName(action) {
    if (action.kind === "escalate") return "Escalate: " + book.shop.escalate.to;
    if (action.kind === "fix") {
      const suspect = desk.family.suspects[action.id];
      return (suspect ? (suspect.outside ? "Try: " : "Find: ") : "Fix: ") + faultTitle(action.id);
    }
    return benchlore.parts.nameOf(desk.family, action.id);
  }

  /**
   * Hazards of what was done on this page, which has shown them in full, and the standing ones once they were read:
   * an entry that the job was opened with showed nobody anything here.
   * @param {BenchJob} job
   */
  function metHazards(job) {
    const { read, opened } = desk.ui;
    const done = benchlore.hazards.added(desk.family, job.entries.slice(opened).flatMap(hazardsOf));
    return [...new Set([...(read ? benchlore.hazards.standing(desk.family) : []), ...done])];
  }

  /**
   * What the card of an entry told in full: of a fix that of the steps that were reached.
   * @type {(entry: BenchEntry) => readonly string[]}
   */
  function hazardsOf(entry) {
    if (entry.kind === "reading") return desk.family.measurements[entry.measure]?.links.hazards || [];
    if (entry.kind === "escalate") return [];
    const fault = desk.family.faults[entry.fault];
    if (!fault) return desk.family.suspects[entry.fault]?.hazards || [];
    return fault.fix.hazards.slice(0, (desk.ui.reached[fault.id] || 0) + 1).flat();
  }

  benchlore.desk = {
    state: desk,
    NO_FAMILY,
    ownNames,
    freshUi,
    freshId,
    now,
    snapshot,
    faultTitle,
    actionName,
  };
})();
