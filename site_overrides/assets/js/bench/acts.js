/*
 * What a person can do on the page: choose, enter, try out, prove, undo, open, save.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const book = benchlore.benchBook;
  const { state: desk, snapshot, actionName, faultTitle, now } = benchlore.desk;
  const { show, showSheet, showStep, goTo, speak, message, dropMessage, download } = benchlore.render;
  const { take, changed, keep, toSetup, saveJob, fileName } = benchlore.update;
  const { startNew, openLog, adopt, loadFamily } = benchlore.opening;

  const { most_words } = benchlore.vocabulary;
  const FULL = "a job keeps " + most_words + " letters of the customer\u2019s words, and this would be more";
  const WHICH = "Which revision? Press its number, or 0 when it is not known.";

  /** @type {BenchActs} */
  const act = {
    set(setup) {
      const before = benchlore.job.present(desk.log);
      const other = setup.family !== undefined && setup.family !== before.family;
      const focus = document.activeElement ? document.activeElement.id : "";
      desk.log = benchlore.job.take(desk.log, { do: "set", setup });
      desk.ui.refusals = {};
      desk.ui.focus = focus;
      if (!other) return changed();
      const chosen = setup.family || "";
      void loadFamily(chosen).then((data) => {
        if (benchlore.job.present(desk.log).family !== chosen) return;
        desk.family = data;
        changed();
      });
    },

    /** Kept without showing anything anew: whoever presses a button after typing must find it where it was. */
    label(text) {
      if (text === benchlore.job.present(desk.log).label) return;
      desk.log = benchlore.job.take(desk.log, { do: "set", setup: { label: text } });
      keep();
    },

    read() {
      desk.ui.read = true;
      benchlore.keep.markRead(desk.log.base.id);
      desk.ui.focus = "next";
      show();
    },

    stepped(id, done) {
      desk.ui.steps[id] = done;
      desk.ui.reached[id] = Math.max(done, desk.ui.reached[id] || 0);
      desk.ui.focus = done + 1 < desk.family.faults[id].fix.html.steps.length ? "step-done" : "to-proof";
      show();
      showStep();
    },

    revise(revision) {
      const before = benchlore.job.present(desk.log);
      if (revision !== before.revision) take({ do: "set", setup: { revision } });
      if (before.entries.length === 0) return start();
      if (revision !== before.revision) askPlaces(before);
    },

    toggleSymptom(id) {
      const { symptoms } = benchlore.job.present(desk.log);
      desk.ui.focus = symptoms.includes(id) ? "symptom-text" : nextAsked();
      take({
        do: "set",
        setup: { symptoms: symptoms.includes(id) ? symptoms.filter((one) => one !== id) : [...symptoms, id] },
      });
    },

    pickSymptom({ id, phrase }, said) {
      const { symptoms, words } = benchlore.job.present(desk.log);
      desk.ui.drafts.symptom = "";
      desk.ui.focus = nextAsked();
      const symptom = book.symptoms[id];
      speak((symptom ? symptom.title : id) + " chosen. " + (asksRevision() ? WHICH : "Press g to go on."));
      const kept = wordsWith(words, said, [symptom?.title || "", phrase]);
      if (symptoms.includes(id) && kept === words) return show();
      take({ do: "set", setup: { symptoms: [...new Set([...symptoms, id])], words: kept } });
    },

    typeSymptom(text) {
      desk.ui.drafts.symptom = text;
      delete desk.ui.refusals.words;
      desk.ui.focus = "symptom-text";
      show();
      void searchReady().then(({ loadedNow }) => {
        if (loadedNow && desk.ui.view === "setup" && desk.ui.drafts.symptom) show();
      });
    },

    takeSymptom(text) {
      void searchReady().then(() => {
        const listed = book.families.find((one) => one.id === desk.family.id);
        const { offers, known, ready } = benchlore.symptoms.find(listed?.symptoms || [], text);
        if (!ready) return;
        if (known && offers[0]) act.pickSymptom(offers[0], text);
        else act.keepWords(text);
      });
    },

    keepWords(text) {
      const said = text.trim().replace(/\s+/g, " ");
      const words = joined(benchlore.job.present(desk.log).words, said);
      const reason = benchlore.personal.refusal(said);
      if (reason || !said || words === null) {
        desk.ui.refusals.words = reason
          ? { reason, mend: benchlore.parts.NAMELESS }
          : said
            ? { reason: FULL, mend: "say it in fewer, or remove some of what is kept" }
            : { reason: "nothing is said of it yet", mend: "type what the customer says" };
        desk.ui.focus = "symptom-text";
        return show();
      }
      desk.ui.drafts.symptom = "";
      desk.ui.focus = asksRevision() ? "revision-asked" : "setup-go";
      speak("Kept in the customer\u2019s words. " + (asksRevision() ? WHICH : "Press g to go on."));
      take({ do: "set", setup: { words } });
    },

    /** Kept without showing anything anew, as the label is. What is refused stands in the field, and is not kept. */
    note(text) {
      const notes = text.trim();
      const refused = benchlore.historyView.noteRefusal(text);
      desk.ui.drafts.notes = text;
      document.getElementById("notes-refusal")?.replaceWith(refused);
      if (!refused.hidden) return;
      delete desk.ui.drafts.notes;
      if (notes === benchlore.job.present(desk.log).notes) return;
      desk.log = benchlore.job.take(desk.log, { do: "set", setup: { notes } });
      keep();
    },

    typeList(text) {
      desk.ui.drafts.list = text;
      desk.ui.focus = "list-text";
      show();
    },

    type(key, text) {
      desk.ui.drafts[key] = text;
    },

    pick(key, choice, focus) {
      desk.ui.drafts[key] = choice;
      delete desk.ui.refusals[key];
      desk.ui.focus = focus;
      show();
    },

    work() {
      if (!desk.assessment || !asksRevision()) return start();
      desk.ui.focus = nextAsked();
      speak(WHICH);
      show();
    },

    setup: toSetup,

    useMeter(id) {
      desk.ui.readingMeter = id;
      desk.ui.focus = "reading-meter";
      show();
    },

    enter(measure, text, field = "reading") {
      const judged = judge(measure, text);
      if (judged.refusal) return refuse("read-" + measure, text, judged.refusal, field);
      delete desk.ui.drafts["read-" + measure];
      const meter = desk.ui.readingMeter || benchlore.job.present(desk.log).meter;
      desk.ui.readingMeter = "";
      desk.ui.focus = "verdict";
      take({ do: "add", entry: { kind: "reading", measure, meter, text: text.trim(), at: now() } });
      speak(benchlore.verdictView.say(snapshot(), judged) + " Next: " + actionName(snapshot().next) + ".");
    },

    suppose(measure) {
      const typed = desk.ui.drafts["read-" + measure] || "";
      if (typed.trim() && !desk.ui.supposing) return act.whatIf(measure, typed);
      desk.ui.supposing = !desk.ui.supposing;
      desk.ui.focus = "reading";
      speak(
        desk.ui.supposing ? "What if: nothing that is typed now is entered." : "Readings are entered again.",
      );
      show();
    },

    whatIf(measure, text) {
      const judged = judge(measure, text);
      if (judged.refusal) return refuse("read-" + measure, text, judged.refusal, "reading");
      const page = snapshot();
      const entry = /** @type {BenchEntry} */ ({
        kind: "reading",
        measure,
        meter: page.readingMeter,
        text: text.trim(),
        at: "",
      });
      const job = Object.assign({}, page.job, { entries: [...page.job.entries, entry] });
      desk.ui.refusals = {};
      desk.ui.trial = { judged, assessment: benchlore.assess.assess(book, desk.family, job) };
      desk.ui.focus = "verdict-title";
      speak("What if, not entered. " + benchlore.verdictView.say(page, judged));
      show();
    },

    forget() {
      desk.ui.trial = null;
      desk.ui.supposing = false;
      desk.ui.focus = "reading";
      show();
    },

    prove(id) {
      const { confirm, refusals, field, failed } = proofTyped(id);
      const at = desk.ui.proving;
      const ticked = desk.ui.drafts["symptom-" + id];
      const symptom = ticked === "gone" || ticked === "still" ? ticked : "unseen";
      if (!field && !failed && symptom === "unseen") {
        refusals["symptom-" + id] = {
          reason: "the symptom is not ticked",
          mend: "tick: symptom gone, or not",
        };
      }
      desk.ui.refusals = refusals;
      if (Object.keys(refusals).length) {
        desk.ui.focus = field || "symptom-gone";
        return show();
      }
      const proved = !failed && symptom === "gone";
      for (const measure of proofOf(id)) delete desk.ui.drafts["proof-" + id + "-" + measure];
      delete desk.ui.drafts["symptom-" + id];
      desk.ui.readingMeter = "";
      desk.ui.focus = proved ? "next" : "verdict";
      const before = at < 0 ? undefined : benchlore.job.present(desk.log).entries[at];
      /** @type {BenchEntry} */
      const entry = {
        kind: "fix",
        fault: id,
        result: proved ? "proved" : "failed",
        symptom,
        confirm,
        at: before ? before.at : now(),
      };
      take(before ? { do: "edit", at, entry } : { do: "add", entry });
      speak(
        proved
          ? "Proved: " + faultTitle(id) + ". The job is closed."
          : "Not proved: " + faultTitle(id) + " is ruled out. Next: " + actionName(snapshot().next) + ".",
      );
    },

    failed(id) {
      const { failed, field } = proofTyped(id);
      return failed && !field;
    },

    escalate() {
      desk.ui.focus = "next";
      take({ do: "add", entry: { kind: "escalate", at: now() } });
      speak("Escalated. The job is closed.");
    },

    choose: (kind, id) => choose(kind, id, -1),

    best() {
      desk.ui.chosen = null;
      desk.ui.proving = -1;
      desk.ui.trial = null;
      desk.ui.focus = "next";
      show();
    },

    undo() {
      move(benchlore.job.undo(desk.log), "Undone.", "Nothing to undo.");
    },

    redo() {
      move(benchlore.job.redo(desk.log), "Done again.", "Nothing to do again.");
    },

    edit(at) {
      const before = desk.ui.editing;
      desk.ui.editing = at;
      desk.ui.refusals = {};
      if (at >= 0) delete desk.ui.drafts["edit-" + at];
      desk.ui.focus = at >= 0 ? "edit-text" : "edit-" + (before + 1);
      if (at >= 0) {
        const entry = benchlore.job.present(desk.log).entries[at];
        if (entry && entry.kind === "reading") desk.ui.drafts["edit-" + at] = entry.text;
      }
      show();
    },

    change(at, text, meter) {
      const entry = benchlore.job.present(desk.log).entries[at];
      if (entry?.kind !== "reading") return;
      const judged = judge(entry.measure, text, meter);
      if (judged.refusal) return refuse("edit-" + at, text, judged.refusal, "edit-text");
      desk.ui.editing = -1;
      delete desk.ui.drafts["edit-" + at];
      desk.ui.focus = "edit-" + (at + 1);
      take({
        do: "edit",
        at,
        entry: { kind: "reading", measure: entry.measure, meter, text: text.trim(), at: entry.at },
      });
      speak("Changed. " + benchlore.verdictView.say(snapshot(), judged));
    },

    editProof(at) {
      const entry = benchlore.job.present(desk.log).entries[at];
      if (entry?.kind === "fix") refill(entry, at);
    },

    removeEntry(at) {
      desk.ui.editing = -1;
      desk.ui.focus = "history-title";
      take({ do: "remove", at });
      speak("Entry " + (at + 1) + " removed. Undo brings it back.");
    },

    allFaults() {
      desk.ui.allFaults = !desk.ui.allFaults;
      desk.ui.focus = "all-faults";
      show();
    },

    open(dialog) {
      desk.ui.dialog = dialog;
      desk.ui.removing = "";
      delete desk.ui.drafts.list;
      desk.ui.focus = dialog === "list" ? "list-text" : dialog ? "over-title" : "";
      if (dialog !== "jobs") return show();
      void benchlore.keep.list().then((jobs) => {
        desk.ui.jobs = jobs;
        desk.ui.focus = "over-title";
        show();
      });
    },

    closed() {
      desk.ui.dialog = "";
    },

    newJob() {
      void startNew();
    },

    openJob(id) {
      void benchlore.keep.load(id).then((kept) => {
        if (!kept?.log)
          return message("open", "This job cannot be read: " + (kept ? kept.damage : "it is gone") + ".");
        return openLog(kept.log);
      });
    },

    removeJob(id, sure) {
      if (!sure) {
        desk.ui.removing = id;
        desk.ui.focus = id ? "remove-no" : "over-title";
        return show();
      }
      void benchlore.keep.remove(id).then(async () => {
        if (id === desk.log.base.id) await startNew();
        act.open("jobs");
      });
    },

    saveFile(form) {
      if (form === "json") return saveJob();
      const job = benchlore.job.present(desk.log);
      if (!desk.assessment)
        return message(
          "file",
          "There is nothing to put on a job sheet yet: choose a board and a symptom first.",
        );
      download(
        fileName(job) + ".md",
        benchlore.sheet.markdown(benchlore.sheet.sheetOf(book, desk.family, job, desk.assessment)),
        "text/markdown",
      );
    },

    saveRaw(kept) {
      download("damaged-job-" + kept.id + ".json", kept.raw);
    },

    openFile(input) {
      const file = input.files?.[0];
      if (!file) return;
      const reader = new FileReader();
      reader.onload = () => {
        dropMessage("file");
        try {
          adopt(benchlore.jobfile.parse(String(reader.result)), file.name);
        } catch (error) {
          message(
            "file",
            file.name +
              " was not opened. " +
              (error instanceof Error ? error.message : String(error)) +
              " The job on the page is as it was.",
          );
          desk.ui.dialog = "";
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

    toField() {
      const fields = ["reading", "proof-1", "proof-1-1", "answer-1", "symptom-gone"];
      goTo(fields.find((id) => document.getElementById(id)) || "");
    },

    dismiss(id) {
      dropMessage(id);
      desk.ui.focus = "next";
      show();
    },
  };

  let searchIsReady = false;

  /** The search's index, loaded with the first letter; what fails is said. */
  async function searchReady() {
    const before = searchIsReady;
    try {
      await benchlore.symptoms.load();
      searchIsReady = true;
    } catch (error) {
      message("search", error instanceof Error ? error.message : String(error));
    }
    return { loadedNow: searchIsReady && !before };
  }

  /** The first card, or what is missing before it, beside its field. */
  function start() {
    const job = benchlore.job.present(desk.log);
    desk.ui.refusals = {};
    if (!desk.assessment) {
      const reason = job.family ? "no symptom is chosen yet" : "no board family is chosen yet";
      const mend = job.family
        ? "choose what the board does, or keep the customer\u2019s words"
        : "choose the board that is on the bench";
      desk.ui.refusals.setup = { reason, mend };
      desk.ui.focus = job.family ? "symptom-text" : "family-" + (book.families[0] ? book.families[0].id : "");
      return show();
    }
    desk.ui.view = "work";
    desk.ui.focus = "next";
    speak("Next: " + actionName(snapshot().next) + ".");
    show();
  }

  /** Each job says its revision, or that it is not known, before its first reading. */
  function asksRevision() {
    const { revision, entries } = benchlore.job.present(desk.log);
    return revision === "" && entries.length === 0 && Object.keys(desk.family.revisions).length > 0;
  }

  /**
   * The words that a job keeps, with what was typed for a symptom of the book: what is not the book's own words may
   * say more than that, and be one word. What tells whose device it is stays out, as does what is too long, and that is
   * said.
   * @param {string} words
   * @param {string} typed
   * @param {readonly string[]} own the book's words for it
   */
  function wordsWith(words, typed, own) {
    const said = typed.trim().replace(/\s+/g, " ");
    const plain = said.toLowerCase();
    if (own.some((one) => (" " + one.toLowerCase().replace(/\s+/g, " ")).includes(" " + plain))) return words;
    const reason = benchlore.personal.refusal(said);
    if (reason) {
      message(
        "words",
        "What was typed is not kept with the job: " + reason + "; " + benchlore.parts.NAMELESS + ".",
      );
      return words;
    }
    const both = joined(words, said);
    if (both === null)
      message(
        "words",
        "\u201c" + said + "\u201d is not kept with the job: " + FULL + ". Put it into the notes.",
      );
    return both === null ? words : both;
  }

  /**
   * The words that a job keeps and what is said besides, each once; null where that is longer than a job keeps.
   * @type {(words: string, said: string) => string | null}
   */
  function joined(words, said) {
    const both = [...new Set([...(words ? words.split("; ") : []), ...said.split("; ")])].join("; ");
    return both.length > most_words ? null : both;
  }

  /** The next question: the revision, or what else it does. */
  function nextAsked() {
    return asksRevision() ? "revision-asked" : "symptom-text";
  }

  /**
   * Readings that were taken before the revision was changed, where another revision has their point elsewhere.
   * @param {BenchJob} before
   */
  function askPlaces(before) {
    const { revision } = benchlore.job.present(desk.log);
    const names = before.entries.flatMap((entry) => {
      const measured = entry.kind === "reading" ? desk.family.measurements[entry.measure] : undefined;
      const where = measured && desk.family.test_points[measured.at]?.html.where;
      const same = !where || (before.revision && where[before.revision] === where[revision]);
      return same || entry.kind !== "reading" ? [] : [benchlore.parts.nameOf(desk.family, entry.measure)];
    });
    if (names.length === 0) return;
    message(
      "places",
      "Taken while the job said " +
        (before.revision ? "revision " + before.revision : "that the revision is not known") +
        ": " +
        names.join("; ") +
        ". " +
        (revision ? "Revision " + revision + " has these points elsewhere. " : "") +
        "Remove under Entries what was probed at the wrong place.",
    );
  }

  /** @type {(kind: BenchKind, id: string, proving: number) => void} */
  function choose(kind, id, proving) {
    const known = desk.assessment
      ? desk.assessment.choices.find((one) => one.kind === kind && one.id === id)
      : undefined;
    desk.ui.chosen = known || { kind, index: -1, id, minutes: 0, expected: 0 };
    desk.ui.proving = proving;
    desk.ui.trial = null;
    desk.ui.supposing = false;
    desk.ui.dialog = "";
    desk.ui.focus = "next";
    desk.ui.view = "work";
    speak("Your choice: " + actionName(desk.ui.chosen) + ".");
    show();
  }

  /** @type {(to: BenchLog, words: string, none: string) => void} */
  function move(to, words, none) {
    if (to === desk.log) return speak(none);
    const { cursor } = desk.log;
    const before = benchlore.job.present(desk.log);
    desk.log = to;
    const job = benchlore.job.present(desk.log);
    const undone = to.cursor < cursor ? to.steps[to.cursor] : undefined;
    desk.ui.editing = -1;
    desk.ui.focus = "undo";
    if (job.family === before.family) changed();
    else {
      void loadFamily(job.family).then((data) => {
        desk.family = data;
        changed();
      });
    }
    if (undone && "entry" in undone && undone.entry.kind === "fix")
      refill(undone.entry, undone.do === "edit" ? undone.at : -1);
    speak(words + " " + benchlore.quantity.plural(job.entries.length, "entry", "entries") + " in the job.");
  }

  /**
   * The form of a proof with an entry's own, to be put right and entered again.
   * @param {BenchFixEntry} entry
   * @param {number} at the entry that it is entered in place of; -1 for none
   */
  function refill(entry, at) {
    if (!desk.family.faults[entry.fault] && !desk.family.suspects[entry.fault]) return;
    for (const measure of proofOf(entry.fault)) delete desk.ui.drafts["proof-" + entry.fault + "-" + measure];
    for (const one of entry.confirm) desk.ui.drafts["proof-" + entry.fault + "-" + one.measure] = one.text;
    desk.ui.drafts["symptom-" + entry.fault] = entry.symptom;
    if (entry.confirm[0]) desk.ui.readingMeter = entry.confirm[0].meter;
    choose("fix", entry.fault, at);
  }

  /** The measurements that prove a fix, in their order; none for a suspect. @param {string} id */
  function proofOf(id) {
    const fault = desk.family.faults[id];
    return fault ? benchlore.cases.proofMeasures(desk.family, fault) : [];
  }

  /**
   * What the form of a proof says, read in turn. At the first reading that is not the wanted one the board may be
   * unsafe to go on with: what stands empty below it is not asked for, and was not taken.
   * @param {string} id
   */
  function proofTyped(id) {
    const meter = snapshot().readingMeter;
    /** @type {Record<string, BenchRefusal>} */
    const refusals = {};
    /** @type {BenchTaken[]} */
    const confirm = [];
    let field = "";
    let failed = false;
    proofOf(id).forEach((measure, n) => {
      const key = "proof-" + id + "-" + measure;
      const text = (desk.ui.drafts[key] || "").trim();
      if (text === "" && (field || failed)) return;
      const wanted = Object.values(desk.family.measurements[measure].outcomes).findIndex(
        (outcome) => outcome.id === desk.family.faults[id].fix.confirm[measure],
      );
      const { refusal, verdict } = judge(measure, text);
      const refused = refusal || (verdict && unproving(verdict, wanted));
      if (refused) {
        refusals[key] = refused;
        field = field || "proof-" + (n + 1);
      } else failed = failed || verdict?.kind !== "decided" || verdict.index !== wanted;
      confirm.push({ measure, meter, text });
    });
    return { confirm, refusals, field, failed };
  }

  /**
   * Why a reading proves nothing, neither that a fix helped nor that it did not; null where it does.
   * @type {(verdict: BenchVerdict, wanted: number) => BenchRefusal | null}
   */
  function unproving(verdict, wanted) {
    if (verdict.kind === "undecided" && verdict.between.includes(wanted))
      return {
        reason: "this meter cannot decide whether that is healthy",
        mend: "measure again, or with a better meter",
      };
    if (verdict.kind === "outside")
      return {
        reason: "it fits no outcome of this measurement",
        mend: "check the point, the bench state and the leads",
      };
    return null;
  }

  /** @type {(measure: string, text: string, meter?: string) => BenchJudged} */
  function judge(measure, text, meter) {
    const job = benchlore.job.present(desk.log);
    const taken = { measure, meter: meter || desk.ui.readingMeter || job.meter, text };
    const revision = desk.family.revisions[job.revision] ? job.revision : "";
    const usual = book.meters[job.meter] ? job.meter : book.shop.default_meter;
    return benchlore.assess.judge(book, desk.family, revision, usual, taken, -1, "");
  }

  /** @type {(key: string, text: string, refusal: BenchRefusal, focus: string) => void} */
  function refuse(key, text, refusal, focus) {
    desk.ui.refusals = { [key]: refusal };
    desk.ui.drafts[key] = text;
    desk.ui.focus = focus;
    show();
  }

  benchlore.acts = act;
})();
