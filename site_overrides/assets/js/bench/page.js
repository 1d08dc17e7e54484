/*
 * The bench page: holds the job that is open, takes what the technician does, and shows the views again.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ (window.benchlore = window.benchlore || {});
  const { h, button, capital } = benchlore.dom;

  const root = /** @type {HTMLElement} */ (document.getElementById("bench"));
  const book = benchlore.benchBook;
  /** @type {BenchFamily} */
  const NO_FAMILY = { format: 1, id: "", title: "", kind: "", page: "", revisions: {}, nets: {}, parts: {}, points: {}, measurements: {}, faults: {} };

  /** @type {BenchLog} */
  let log = benchlore.job.begin(benchlore.job.create(freshId(), {}));
  let family = NO_FAMILY;
  /** @type {BenchAssessment | null} */
  let assessment = null;
  /** @type {BenchUi} */
  let ui = freshUi("setup");
  /** The address that this page wrote last. */
  let written = "";
  let saidLast = "";

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

  /* What the views read. */

  /** @returns {BenchPage} */
  function snapshot() {
    const job = benchlore.job.present(log);
    const best = assessment ? assessment.choices[0] : /** @type {BenchAction} */ ({ kind: "escalate", index: -1, id: "", minutes: 0, expected: 0 });
    return {
      book,
      family,
      log,
      job,
      ui,
      act,
      assessment: /** @type {BenchAssessment} */ (assessment),
      next: ui.chosen || best,
      outcome: benchlore.job.outcome(job),
      trial: ui.trial,
      readingMeter: ui.readingMeter || job.meter,
      met: metHazards(job),
      titleOf: (index) => titleOf(index),
      faultTitle: (id) => faultTitle(id),
      actionName: (action) => actionName(action),
    };
  }

  /** @param {number} index */
  function titleOf(index) {
    const id = assessment ? assessment.one.faults[index] : "";
    return id ? faultTitle(id) : "Not in the book";
  }

  /** @param {string} id */
  function faultTitle(id) {
    const fault = family.faults[id] || family.faults[benchlore.assess.currentId(book, id)];
    return fault ? fault.title : id;
  }

  /** @param {{kind: BenchKind, id: string}} action */
  function actionName(action) {
    if (action.kind === "escalate") return "Escalate: " + book.shop.escalate_to;
    if (action.kind === "fix") return "Fix: " + faultTitle(action.id);
    return benchlore.parts.nameOf(book, family, action.id);
  }

  /**
   * Hazards of the readings taken so far: they have been shown in full in this job.
   * @param {BenchJob} job
   */
  function metHazards(job) {
    /** @type {Set<string>} */
    const met = new Set();
    for (const entry of job.entries) {
      const measurement = entry.kind === "reading" ? family.measurements[entry.measure] : undefined;
      if (measurement) measurement.hazards.forEach((id) => met.add(id));
    }
    return [...met];
  }

  /* Changing the job. */

  /**
   * Take a step, keep it, show what follows.
   * @param {BenchStep} step
   */
  function take(step) {
    log = benchlore.job.take(log, step);
    changed();
  }

  /** The job changed: compute, keep, show. */
  function changed() {
    ui.trial = null;
    ui.chosen = null;
    ui.refusals = {};
    compute();
    keep();
    show();
  }

  function compute() {
    const job = benchlore.job.present(log);
    assessment = benchlore.job.ready(job) && family.id === job.family ? benchlore.assess.assess(book, family, job) : null;
    if (!assessment) ui.view = "setup";
  }

  function keep() {
    writeAddress();
    const job = benchlore.job.present(log);
    if (job.symptoms.length === 0 && job.entries.length === 0 && !job.label) return;
    const mine = log;
    benchlore.keep.save(mine, now()).then((how) => {
      if (how === "kept") dropMessage("store");
      if (how === "failed") message("store", "This browser could not keep the job. It stands in the address and in this tab; save it to a file before you close the page.", "Save the job", () => act.saveFile("json"));
      if (how === "elsewhere" && log.base.id === mine.base.id) branch();
    });
    benchlore.keep.remember(job);
  }

  /** Another window wrote this job meanwhile: what stands here goes on as a job of its own. */
  function branch() {
    log = withId(log, freshId());
    message("elsewhere", "Another window has changed this job meanwhile. What you have here goes on as a job of its own; the other is under Jobs.");
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
  /** The state into the address. A browser that is asked too often refuses for a while; then it is tried again. */
  function writeAddress() {
    const job = benchlore.job.present(log);
    written = "#" + benchlore.address.encode(job);
    window.clearTimeout(addressTimer);
    try {
      history.replaceState(null, "", written);
    } catch {
      addressTimer = window.setTimeout(writeAddress, 2000);
    }
  }

  /* What a person can do. */

  /** @type {BenchActs} */
  const act = {
    set(setup) {
      const before = benchlore.job.present(log);
      const other = setup.family !== undefined && setup.family !== before.family;
      const focus = document.activeElement ? document.activeElement.id : "";
      log = benchlore.job.take(log, { do: "set", setup });
      ui.refusals = {};
      ui.focus = focus;
      if (!other) return changed();
      const chosen = setup.family || "";
      void Promise.all([loadFamily(chosen), rememberedRevision(chosen)]).then(([data, revision]) => {
        if (benchlore.job.present(log).family !== chosen) return;
        family = data;
        if (revision) log = benchlore.job.take(log, { do: "set", setup: { revision } });
        changed();
      });
    },

    toggleSymptom(id) {
      const { symptoms } = benchlore.job.present(log);
      ui.focus = symptoms.includes(id) && document.activeElement && document.activeElement.classList.contains("chip") ? "symptom-text" : "symptom-" + id;
      take({ do: "set", setup: { symptoms: symptoms.includes(id) ? symptoms.filter((one) => one !== id) : [...symptoms, id] } });
    },

    pickSymptom(id) {
      const { symptoms } = benchlore.job.present(log);
      ui.drafts.symptom = "";
      ui.focus = "symptom-text";
      const symptom = book.symptoms[id];
      speak((symptom ? symptom.title : id) + " chosen. Type another, or press Enter to go on.");
      if (symptoms.includes(id)) return show();
      take({ do: "set", setup: { symptoms: [...symptoms, id] } });
    },

    typeSymptom(text) {
      ui.drafts.symptom = text;
      ui.focus = "symptom-text";
      show();
    },

    typeList(text) {
      ui.drafts.list = text;
      ui.focus = "list-text";
      show();
    },

    type(key, text) {
      ui.drafts[key] = text;
    },

    work() {
      const job = benchlore.job.present(log);
      ui.refusals = {};
      if (!assessment) {
        const reason = job.family ? "no symptom is chosen yet" : "no board family is chosen yet";
        const mend = job.family ? "choose what the board does" : "choose the board that is on the bench";
        ui.refusals.setup = { reason, mend };
        ui.focus = job.family ? "symptom-text" : "family-" + (book.families[0] ? book.families[0].id : "");
        return show();
      }
      ui.view = "work";
      ui.focus = "next";
      speak("Next: " + actionName(snapshot().next) + ".");
      show();
    },

    setup() {
      ui.view = "setup";
      ui.focus = "setup-title";
      show();
    },

    useMeter(id) {
      ui.readingMeter = id;
      ui.focus = "reading-meter";
      show();
    },

    enter(measure, text) {
      const judged = judge(measure, text);
      if (judged.refusal) return refuse("read-" + measure, text, judged.refusal, "reading");
      delete ui.drafts["read-" + measure];
      const meter = ui.readingMeter || benchlore.job.present(log).meter;
      ui.readingMeter = "";
      ui.focus = "verdict";
      take({ do: "add", entry: { kind: "reading", measure, meter, text: text.trim(), at: now() } });
      speak(benchlore.verdictView.say(snapshot(), judged) + " Next: " + actionName(snapshot().next) + ".");
    },

    whatIf(measure, text) {
      const judged = judge(measure, text);
      if (judged.refusal) return refuse("read-" + measure, text, judged.refusal, "reading");
      const page = snapshot();
      const entry = /** @type {BenchEntry} */ ({ kind: "reading", measure, meter: page.readingMeter, text: text.trim(), at: "" });
      const job = Object.assign({}, page.job, { entries: [...page.job.entries, entry] });
      ui.refusals = {};
      ui.trial = { judged, assessment: benchlore.assess.assess(book, family, job) };
      ui.focus = "verdict-title";
      speak("What if, not entered. " + benchlore.verdictView.say(page, judged));
      show();
    },

    forget() {
      ui.trial = null;
      ui.focus = "reading";
      show();
    },

    prove(id) {
      const fault = family.faults[id];
      const meter = snapshot().readingMeter;
      const measures = benchlore.cases.proofMeasures(family, fault);
      /** @type {Record<string, BenchRefusal>} */
      const refusals = {};
      /** @type {BenchTaken[]} */
      const confirm = [];
      let proved = true;
      measures.forEach((measure) => {
        const key = "proof-" + id + "-" + measure;
        const text = (ui.drafts[key] || "").trim();
        const judged = judge(measure, text);
        const wanted = family.measurements[measure].outcomes.findIndex((outcome) => outcome.id === fault.fix.confirm[measure]);
        if (judged.refusal) refusals[key] = judged.refusal;
        else if (judged.verdict && judged.verdict.kind === "undecided" && judged.verdict.between.includes(wanted)) {
          refusals[key] = { reason: "this meter cannot decide whether that is healthy", mend: "measure again, or with a better meter" };
        } else if (judged.verdict && judged.verdict.kind === "outside") {
          refusals[key] = { reason: "it fits no outcome of this measurement", mend: "check the point, the bench state and the leads" };
        } else if (judged.verdict) proved = proved && judged.verdict.kind === "decided" && judged.verdict.index === wanted;
        confirm.push({ measure, meter, text });
      });
      const symptom = ui.drafts["symptom-" + id];
      if (symptom !== "gone" && symptom !== "still") {
        refusals["symptom-" + id] = { reason: "nothing is said of the symptom", mend: "say whether it is gone" };
      }
      ui.refusals = refusals;
      const first = measures.findIndex((measure) => refusals["proof-" + id + "-" + measure]);
      if (first >= 0 || (symptom !== "gone" && symptom !== "still")) {
        ui.focus = first >= 0 ? "proof-" + (first + 1) : "symptom-gone";
        return show();
      }
      proved = proved && symptom === "gone";
      for (const measure of measures) delete ui.drafts["proof-" + id + "-" + measure];
      delete ui.drafts["symptom-" + id];
      ui.readingMeter = "";
      ui.focus = proved ? "next" : "verdict";
      take({ do: "add", entry: { kind: "fix", fault: id, result: proved ? "proved" : "failed", symptom, confirm, at: now() } });
      speak(proved ? "Proved: " + fault.title + ". The job is closed." : "Not proved: " + fault.title + " is out of the running. Next: " + actionName(snapshot().next) + ".");
    },

    escalate() {
      ui.focus = "next";
      take({ do: "add", entry: { kind: "escalate", at: now() } });
      speak("Escalated. The job is closed.");
    },

    choose(kind, id) {
      const known = assessment ? assessment.choices.find((one) => one.kind === kind && one.id === id) : undefined;
      ui.chosen = known || { kind, index: -1, id, minutes: 0, expected: 0 };
      ui.trial = null;
      ui.dialog = "";
      ui.focus = "next";
      ui.view = "work";
      speak("Your choice: " + actionName(ui.chosen) + ".");
      show();
    },

    best() {
      ui.chosen = null;
      ui.trial = null;
      ui.focus = "next";
      show();
    },

    undo() {
      move(benchlore.job.undo(log), "Undone.", "Nothing to undo.");
    },

    redo() {
      move(benchlore.job.redo(log), "Done again.", "Nothing to do again.");
    },

    edit(at) {
      const before = ui.editing;
      ui.editing = at;
      ui.refusals = {};
      if (at >= 0) delete ui.drafts["edit-" + at];
      ui.focus = at >= 0 ? "edit-text" : "edit-" + (before + 1);
      if (at >= 0) {
        const entry = benchlore.job.present(log).entries[at];
        if (entry && entry.kind === "reading") ui.drafts["edit-" + at] = entry.text;
      }
      show();
    },

    change(at, text, meter) {
      const entry = benchlore.job.present(log).entries[at];
      if (!entry || entry.kind !== "reading") return;
      const judged = judge(entry.measure, text, meter);
      if (judged.refusal) return refuse("edit-" + at, text, judged.refusal, "edit-text");
      ui.editing = -1;
      delete ui.drafts["edit-" + at];
      ui.focus = "edit-" + (at + 1);
      take({ do: "edit", at, entry: { kind: "reading", measure: entry.measure, meter, text: text.trim(), at: entry.at } });
      speak("Changed. " + benchlore.verdictView.say(snapshot(), judged));
    },

    removeEntry(at) {
      ui.editing = -1;
      ui.focus = "history-title";
      take({ do: "remove", at });
      speak("Entry " + (at + 1) + " removed. Undo brings it back.");
    },

    allFaults() {
      ui.allFaults = !ui.allFaults;
      ui.focus = "all-faults";
      show();
    },

    open(dialog) {
      ui.dialog = dialog;
      ui.removing = "";
      ui.focus = dialog === "list" ? "list-text" : dialog ? "over-title" : "";
      if (dialog !== "jobs") return show();
      void benchlore.keep.list().then((jobs) => {
        ui.jobs = jobs;
        ui.focus = "over-title";
        show();
      });
    },

    closed() {
      ui.dialog = "";
    },

    newJob() {
      void startNew();
    },

    openJob(id) {
      void benchlore.keep.load(id).then((kept) => {
        if (!kept || !kept.log) return message("open", "This job cannot be read: " + (kept ? kept.damage : "it is gone") + ".");
        return openLog(kept.log);
      });
    },

    removeJob(id, sure) {
      if (!sure) {
        ui.removing = id;
        ui.focus = id ? "remove-no" : "over-title";
        return show();
      }
      void benchlore.keep.remove(id).then(async () => {
        if (id === log.base.id) await startNew();
        act.open("jobs");
      });
    },

    saveFile(form) {
      const job = benchlore.job.present(log);
      const name = "job-" + (job.label.replace(/[^A-Za-z0-9-]+/g, "-") || job.id);
      if (form === "json") return download(name + ".json", "application/json", benchlore.jobfile.format(job));
      if (!assessment) return message("file", "There is nothing to put on a job sheet yet: choose a board and a symptom first.");
      download(name + ".md", "text/markdown", benchlore.sheet.markdown(benchlore.sheet.sheetOf(book, family, job, assessment)));
    },

    saveRaw(kept) {
      download("damaged-job-" + kept.id + ".json", "application/json", kept.raw);
    },

    openFile(input) {
      const file = input.files && input.files[0];
      if (!file) return;
      const reader = new FileReader();
      reader.onload = () => {
        try {
          adopt(benchlore.jobfile.parse(String(reader.result)), file.name);
        } catch (error) {
          message("file", file.name + " was not opened. " + (error instanceof Error ? error.message : String(error)) + " The job on the page is as it was.");
          ui.dialog = "";
          show();
        }
      };
      reader.onerror = () => message("file", file.name + " could not be read from the disk.");
      reader.readAsText(file);
    },

    print() {
      showSheet();
      window.print();
    },

    dismiss(id) {
      dropMessage(id);
      ui.focus = "next";
      show();
    },
  };

  /**
   * @param {BenchLog} to
   * @param {string} words
   * @param {string} none
   */
  function move(to, words, none) {
    if (to === log) return speak(none);
    const before = benchlore.job.present(log).family;
    log = to;
    const job = benchlore.job.present(log);
    ui.editing = -1;
    ui.focus = "undo";
    if (job.family === before) changed();
    else {
      void loadFamily(job.family).then((data) => {
        family = data;
        changed();
      });
    }
    speak(words + " " + benchlore.quantity.plural(job.entries.length, "entry", "entries") + " in the job.");
  }

  /**
   * @param {string} measure
   * @param {string} text
   * @param {string} [meter]
   */
  function judge(measure, text, meter) {
    const job = benchlore.job.present(log);
    const taken = { measure, meter: meter || ui.readingMeter || job.meter, text };
    const revision = family.revisions[job.revision] ? job.revision : "";
    const usual = book.meters[job.meter] ? job.meter : book.shop.default_meter;
    return benchlore.assess.judge(book, family, revision, usual, taken, -1, "");
  }

  /**
   * @param {string} key
   * @param {string} text
   * @param {BenchRefusal} refusal
   * @param {string} focus
   */
  function refuse(key, text, refusal, focus) {
    ui.refusals = { [key]: refusal };
    ui.drafts[key] = text;
    ui.focus = focus;
    show();
  }

  /* Opening jobs. */

  async function startNew() {
    await benchlore.keep.settled();
    const chosen = await benchlore.keep.defaults();
    const known = book.families.some((one) => one.id === chosen.family);
    const setup = {
      family: known ? chosen.family : book.families.length === 1 ? book.families[0].id : "",
      revision: known ? chosen.revision : "",
      meter: book.meters[chosen.meter || ""] ? chosen.meter : book.shop.default_meter,
    };
    await openLog(benchlore.job.begin(benchlore.job.create(freshId(), setup, now())));
  }

  /**
   * @param {BenchLog} opened
   */
  async function openLog(opened) {
    const job = benchlore.job.present(opened);
    const data = await loadFamily(job.family);
    const messages = ui.messages;
    log = opened;
    family = data;
    ui = freshUi("work");
    ui.messages = messages;
    compute();
    ui.view = assessment ? "work" : "setup";
    ui.focus = assessment ? "next" : job.family ? "symptom-text" : "setup-title";
    writeAddress();
    show();
  }

  /**
   * A job from a file: it goes on under its own id, or under a new one when this browser keeps another state of it.
   * @param {BenchJob} job
   * @param {string} name
   */
  async function adopt(job, name) {
    const kept = job.id ? await benchlore.keep.load(job.id) : null;
    const same = kept && kept.log && benchlore.job.same(benchlore.job.present(kept.log), job);
    let opened = benchlore.job.begin(Object.assign({}, job, { id: job.id || freshId() }));
    if (same && kept && kept.log) opened = kept.log;
    else if (kept) {
      opened = withId(opened, freshId());
      message("file", name + " holds another state of a job that is kept here. Both are kept: this is the one of the file.");
    }
    await openLog(opened);
    keep();
  }

  /**
   * What an address asks for: a kept job, a job sent from elsewhere, or the start of one. False for an empty address.
   * @param {string} hash
   * @returns {Promise<boolean>}
   */
  async function openAddress(hash) {
    let job;
    try {
      job = benchlore.address.decode(hash);
    } catch (error) {
      message("address", (error instanceof Error ? error.message : String(error)) + " Nothing that is kept was changed.");
      history.pushState(null, "", "#"); // so that Back leads to the address as it was
      return false;
    }
    if (!job) return false;
    if (!job.id) {
      await startFrom(job);
      return true;
    }
    const kept = await benchlore.keep.load(job.id);
    if (kept && kept.log) {
      if (wasThere(kept.log, job)) await openLog(kept.log);
      else if (goesOn(benchlore.job.present(kept.log), job)) {
        await openLog(kept.log);
        const before = benchlore.job.present(log).entries.length;
        for (const entry of job.entries.slice(before)) log = benchlore.job.take(log, { do: "add", entry });
        changed();
      } else {
        message("address", "This address holds another state of a job that is kept here. Both are kept: this is the one of the address; the other is under Jobs.");
        await openLog(benchlore.job.begin(Object.assign({}, job, { id: freshId() })));
        keep();
      }
      return true;
    }
    await openLog(benchlore.job.begin(job));
    keep();
    return true;
  }

  /**
   * A link that starts a job: what it does not say comes from what was chosen last.
   * @param {BenchJob} asked
   */
  async function startFrom(asked) {
    const chosen = await benchlore.keep.defaults();
    const revision = asked.revision || (await rememberedRevision(asked.family)) || (chosen.family === asked.family ? chosen.revision : "");
    const meter = asked.meter || chosen.meter || book.shop.default_meter;
    const family = asked.family || chosen.family;
    const setup = { family, revision, symptoms: asked.symptoms, label: asked.label, meter };
    await openLog(benchlore.job.begin(benchlore.job.create(freshId(), setup, now())));
    if (benchlore.job.present(log).revision === "" && assessment) act.setup();
    keep();
  }

  /**
   * @param {BenchLog} kept
   * @param {BenchJob} job
   */
  function wasThere(kept, job) {
    for (let count = 0; count <= kept.steps.length; count += 1) if (benchlore.job.same(benchlore.job.at(kept, count), job)) return true;
    return false;
  }

  /**
   * True when the address holds everything that is kept and more entries after it.
   * @param {BenchJob} kept
   * @param {BenchJob} job
   */
  function goesOn(kept, job) {
    const start = Object.assign({}, job, { entries: job.entries.slice(0, kept.entries.length) });
    return job.entries.length > kept.entries.length && benchlore.job.same(kept, start);
  }

  /**
   * The revision that was chosen on the family's pages.
   * @param {string} id
   * @returns {Promise<string>}
   */
  async function rememberedRevision(id) {
    const kept = id ? await benchlore.store.get("revision/" + id) : null;
    const listed = book.families.find((one) => one.id === id);
    return typeof kept === "string" && listed && listed.revisions[kept] ? kept : "";
  }

  /** @type {Map<string, Promise<void>>} */
  const loading = new Map();

  /**
   * The family's data, by a script that is added once.
   * @param {string} id
   * @returns {Promise<BenchFamily>}
   */
  async function loadFamily(id) {
    const listed = book.families.find((one) => one.id === id);
    if (!listed) {
      if (id) message("family", gone(id));
      return NO_FAMILY;
    }
    if (!benchlore.benchFamilies[id]) {
      const loaded = loading.get(id) || loadScript(listed.script);
      loading.set(id, loaded);
      try {
        await loaded;
      } catch {
        loading.delete(id);
        message("family", "The data of " + listed.title + " could not be loaded (" + listed.script + "). Is the site's folder whole? The job is kept.");
      }
    }
    return benchlore.benchFamilies[id] || NO_FAMILY;
  }

  /** @param {string} id */
  function gone(id) {
    return "This book has no board family '" + id + "'. The job is kept as it is; open it with the site that made it, or begin a new job.";
  }

  /**
   * @param {string} path
   * @returns {Promise<void>}
   */
  function loadScript(path) {
    return new Promise((resolve, reject) => {
      const script = document.createElement("script");
      script.src = path;
      script.onload = () => resolve();
      script.onerror = () => reject(new Error(path));
      document.head.append(script);
    });
  }

  /* Showing. */

  const parts = {
    messages: h("div", { class: "messages no-print" }),
    live: h("p", { class: "unseen", role: "status", "aria-live": "polite", id: "bench-live" }),
    bar: h("div", { class: "bench-bar no-print" }),
    work: h("div", { class: "bench-work no-print", id: "bench-work" }),
    over: h("div", { class: "no-print" }),
    sheet: h("div", { class: "bench-sheet", id: "bench-sheet" }),
  };

  function show() {
    const page = snapshot();
    const active = document.activeElement;
    const selection = active instanceof HTMLInputElement && active.type === "text" ? active.selectionStart : null;
    const focus = ui.focus || (active && root.contains(active) ? active.id : "");
    const asked = ui.focus;
    ui.focus = "";
    const opened = openDetails();
    parts.messages.replaceChildren(...ui.messages.map(messageOf), ...problemsOf(page));
    parts.bar.replaceChildren(...bar(page));
    parts.work.className = "bench-work no-print view-" + ui.view;
    parts.work.replaceChildren(...views(page));
    showDialog(page);
    for (const id of opened) {
      const details = document.getElementById(id);
      if (details instanceof HTMLDetailsElement) details.open = true;
    }
    focusOn(focus, asked, selection);
    window.clearTimeout(sheetTimer);
    sheetTimer = window.setTimeout(showSheet, 300);
  }

  let sheetTimer = 0;
  function showSheet() {
    const job = benchlore.job.present(log);
    if (assessment) parts.sheet.replaceChildren(benchlore.sheet.page(benchlore.sheet.sheetOf(book, family, job, assessment)));
    else parts.sheet.replaceChildren(h("p", null, "No job is open: choose a board and a symptom on the bench page."));
  }

  /** @param {BenchPage} page @returns {HTMLElement[]} */
  function views(page) {
    if (ui.view === "setup" || !assessment) return [benchlore.setupView.render(page)];
    const card = page.outcome.state === "open" ? benchlore.nextView.render(page) : benchlore.fixView.closed(page);
    card.id = "next";
    card.tabIndex = -1;
    card.dataset.kind = page.outcome.state === "open" ? page.next.kind : "closed";
    card.dataset.id = page.next.id;
    const verdict = benchlore.verdictView.render(page);
    if (verdict) {
      verdict.id = "verdict";
      verdict.tabIndex = -1;
    }
    const side = h("div", { class: "side" }, benchlore.rankingView.render(page), benchlore.historyView.render(page));
    return verdict ? [verdict, card, side] : [card, side];
  }

  /** @param {BenchPage} page @returns {HTMLElement[]} */
  function bar(page) {
    const { job } = page;
    const listed = book.families.find((one) => one.id === job.family);
    const symptoms = job.symptoms.map((id) => {
      const symptom = book.symptoms[id];
      return symptom ? symptom.title : id;
    });
    const meter = book.meters[job.meter];
    const facts = [job.label, listed ? listed.title : "", listed ? (job.revision ? "revision " + job.revision : "revision not known") : "", symptoms.join("; "), meter ? meter.title : ""];
    const words = facts.filter(Boolean).join(" \u00b7 ");
    const work = ui.view === "work";
    return [
      h("p", { class: "bar-facts" }, work ? words : "New job"),
      h(
        "div",
        { class: "bar-buttons" },
        work ? button("Change", () => act.setup(), { key: "e", id: "change" }) : null,
        page.ui.chosen && work ? button("Back to the best", () => act.best(), { key: "b", id: "best" }) : null,
        button("Jobs", () => act.open("jobs"), { key: "j", id: "jobs" }),
        button("Keys", () => act.open("keys"), { key: "?", id: "keys" })
      ),
    ];
  }

  /** @param {BenchPage} page */
  function showDialog(page) {
    const before = parts.over.firstElementChild;
    const scroll = before ? before.scrollTop : 0;
    parts.over.replaceChildren();
    if (!ui.dialog || (ui.dialog === "list" && !assessment)) return;
    const over = benchlore.dialogs[/** @type {"keys" | "list" | "jobs"} */ (ui.dialog)](page);
    parts.over.append(over);
    over.showModal();
    over.scrollTop = scroll;
  }

  function openDetails() {
    return [...root.querySelectorAll("details[open][id]")].map((one) => one.id);
  }

  /**
   * @param {string} id
   * @param {string} asked what an action asked for; only that may scroll
   * @param {number | null} selection
   */
  function focusOn(id, asked, selection) {
    const wanted = id === "verdict" ? "next" : id;
    const element = document.getElementById(wanted) || document.getElementById(wanted + "-1") || document.getElementById("next") || document.getElementById("setup-title");
    if (!id || !element) return;
    element.focus({ preventScroll: asked === "" || id === "verdict" || id === "next" });
    if (element instanceof HTMLInputElement && element.type === "text") {
      const end = asked && asked !== "symptom-text" && asked !== "list-text" ? element.value.length : selection === null ? element.value.length : selection;
      element.setSelectionRange(end, end);
    }
    const top = document.getElementById(id === "verdict" || id === "next" ? (document.getElementById("verdict") ? "verdict" : "next") : "");
    if (asked && top) top.scrollIntoView({ block: "nearest" });
  }

  /** @param {string} words */
  function speak(words) {
    saidLast = words === saidLast ? words + " " : words;
    parts.live.textContent = saidLast;
  }

  /**
   * @param {string} id
   * @param {string} text
   * @param {string} [label]
   * @param {() => void} [press]
   */
  function message(id, text, label, press) {
    const same = ui.messages.find((one) => one.id === id);
    if (same && same.text === text) return;
    ui.messages = ui.messages.filter((one) => one.id !== id).concat([{ id, text, label: label || "", press: press || null }]);
    parts.messages.replaceChildren(...ui.messages.map(messageOf), ...problemsOf(snapshot()));
  }

  /** @param {string} id */
  function dropMessage(id) {
    if (!ui.messages.some((one) => one.id === id)) return;
    ui.messages = ui.messages.filter((one) => one.id !== id);
    parts.messages.replaceChildren(...ui.messages.map(messageOf), ...problemsOf(snapshot()));
  }

  /** @param {BenchMessage} one */
  function messageOf(one) {
    return h(
      "div",
      { class: "message", role: "alert" },
      h("p", null, one.text),
      h("p", { class: "actions" }, one.press ? button(one.label, one.press, { id: "message-" + one.id }) : null, button("Understood", () => act.dismiss(one.id), { class: "quiet" }))
    );
  }

  /** @param {BenchPage} page */
  function problemsOf(page) {
    const found = page.assessment ? page.assessment.problems : [];
    return found.length ? [h("div", { class: "message", role: "note" }, h("ul", null, found.map((line) => h("li", null, line))))] : [];
  }

  /**
   * @param {string} name
   * @param {string} type
   * @param {string} text
   */
  function download(name, type, text) {
    const url = URL.createObjectURL(new Blob([text], { type }));
    const link = h("a", { href: url, download: name });
    document.body.append(link);
    link.click();
    link.remove();
    window.setTimeout(() => URL.revokeObjectURL(url), 10000);
    speak(name + " saved.");
  }

  /* Keys. */

  /** @type {Record<string, (page: BenchPage) => void>} */
  const LETTERS = {
    g: () => {
      if (ui.view === "setup") act.work();
    },
    r: () => focusField(),
    s: (page) => pickOther(page, 0),
    t: (page) => pickOther(page, 1),
    l: () => {
      if (assessment && ui.view === "work") act.open("list");
    },
    b: () => {
      if (ui.view === "work") act.best();
    },
    w: (page) => {
      const id = page.next.id;
      if (working(page) && page.next.kind === "measure") act.whatIf(id, ui.drafts["read-" + id] || "");
    },
    a: (page) => again(page),
    u: () => act.undo(),
    y: () => act.redo(),
    k: () => focusAt("ranking-title"),
    h: () => focusAt("history-title"),
    e: () => act.setup(),
    j: () => act.open("jobs"),
    n: () => act.newJob(),
    p: () => {
      if (assessment) act.print();
    },
    "?": () => act.open("keys"),
  };

  /** @param {BenchPage} page */
  function working(page) {
    return ui.view === "work" && assessment !== null && page.outcome.state === "open";
  }

  /**
   * @param {BenchPage} page
   * @param {number} n
   */
  function pickOther(page, n) {
    if (!working(page)) return;
    const rest = page.assessment.choices.filter((one) => one.kind !== page.next.kind || one.id !== page.next.id);
    if (rest[n]) act.choose(rest[n].kind, rest[n].id);
  }

  /** Measure again what the meter could not decide. @param {BenchPage} page */
  function again(page) {
    const last = working(page) ? page.assessment.taken[page.assessment.taken.length - 1] : undefined;
    if (last && last.reading && family.measurements[last.measure]) act.choose("measure", last.measure);
  }

  /** @param {string} id */
  function focusAt(id) {
    const element = document.getElementById(id);
    if (!element) return;
    element.focus();
    element.scrollIntoView({ block: "nearest" });
  }

  function focusField() {
    for (const id of ["reading", "proof-1", "proof-1-1", "answer-1"]) {
      const element = document.getElementById(id);
      if (element) return focusAt(id);
    }
  }

  /** @param {KeyboardEvent} event */
  function onKey(event) {
    if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
    const target = event.target instanceof HTMLElement ? event.target : null;
    if (event.key === "Escape") return escapeFrom(target);
    if (ui.dialog || isTyping(target) || (target && target !== document.body && !root.contains(target))) return;
    const page = snapshot();
    if (/^[0-9.,+\-\u2212]$/.test(event.key) && working(page) && digit(event.key)) return event.preventDefault();
    const run = Object.prototype.hasOwnProperty.call(LETTERS, event.key) ? LETTERS[event.key] : null;
    if (!run) return;
    event.preventDefault();
    run(page);
  }

  /**
   * A digit outside a field: the number of an answer, or the beginning of the reading. True when it was used.
   * @param {string} key
   */
  function digit(key) {
    const answer = document.getElementById("answer-" + key);
    if (answer) {
      answer.click();
      return true;
    }
    const field = document.getElementById("reading") || document.getElementById("proof-1");
    if (!(field instanceof HTMLInputElement)) return false;
    field.focus();
    field.value += key;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    return true;
  }

  /** @param {HTMLElement | null} target */
  function escapeFrom(target) {
    if (ui.dialog) return;
    if (target && isTyping(target) && root.contains(target)) target.blur();
    else if (ui.trial) act.forget();
  }

  /** @param {HTMLElement | null} target */
  function isTyping(target) {
    if (!target) return false;
    if (target instanceof HTMLInputElement) return !["radio", "checkbox", "button", "submit", "file"].includes(target.type);
    return target instanceof HTMLTextAreaElement || target instanceof HTMLSelectElement || target.isContentEditable;
  }

  /* Start. */

  async function start() {
    root.replaceChildren(parts.messages, parts.live, parts.bar, parts.work, parts.over, parts.sheet);
    if (book.families.length === 0) {
      parts.work.append(h("p", null, "This book has no board family yet."));
      return;
    }
    document.addEventListener("keydown", onKey);
    window.addEventListener("hashchange", () => {
      if (location.hash !== written) void openAddress(location.hash);
    });
    window.addEventListener("beforeprint", showSheet);
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") void refresh();
    });
    if (await openAddress(location.hash)) return;
    const kept = await benchlore.keep.load(await benchlore.keep.current());
    if (kept && kept.log) await openLog(kept.log);
    else {
      if (kept && kept.damage) message("damaged", "The job that was open last cannot be read: " + capital(kept.damage) + " It is left as it is, under Jobs.");
      await startNew();
    }
  }

  /** Another window may have gone on with this job. */
  async function refresh() {
    const id = log.base.id;
    if (!(await benchlore.keep.changedElsewhere(id)) || log.base.id !== id) return;
    const kept = await benchlore.keep.load(id);
    if (!kept || !kept.log) return;
    message("elsewhere", "This job was changed in another window. Its newest state is shown.");
    await openLog(kept.log);
  }

  benchlore.bench = {
    ready: start(),
    present: () => benchlore.job.present(log),
    next: () => snapshot().next,
    settled: () => benchlore.keep.settled(),
  };
})();
