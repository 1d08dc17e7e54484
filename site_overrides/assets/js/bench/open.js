/*
 * Opening jobs: new ones, kept ones, those of a file or an address; and the data of their board family.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const book = benchlore.benchBook;
  benchlore.benchFamilies = benchlore.benchFamilies || {}; // each family's script adds its own
  const { state: desk, NO_FAMILY, ownNames, freshUi, freshId, now, actionName } = benchlore.desk;
  const { show, message, dropMessage } = benchlore.render;
  const { withId, changed, compute, keep, writeAddress, toSetup } = benchlore.update;

  async function startNew() {
    await benchlore.keep.settled();
    const chosen = await benchlore.keep.defaults();
    const known = book.families.some((one) => one.id === chosen.family);
    const setup = {
      family: known ? chosen.family : book.families.length === 1 ? book.families[0].id : "",
      meter: book.meters[chosen.meter || ""] ? chosen.meter : book.shop.default_meter,
    };
    await openLog(benchlore.job.begin(benchlore.job.create(freshId(), setup, now())));
  }

  /** @type {(opened: BenchLog) => Promise<void>} */
  async function openLog(opened) {
    const job = benchlore.job.present(opened);
    const data = await loadFamily(job.family);
    const messages = desk.ui.messages;
    desk.log = opened;
    desk.family = data;
    desk.ui = freshUi("work", benchlore.keep.wasRead(job.id), job.entries.length);
    desk.ui.messages = messages;
    compute();
    desk.ui.view = desk.assessment ? "work" : "setup";
    desk.ui.focus = desk.assessment ? "next" : job.family ? "symptom-text" : "setup-title";
    writeAddress();
    show();
    benchlore.prepare(data);
  }

  /**
   * A job from a file: it goes on under its own id, or under a new one when this browser keeps another state of it.
   * @type {(job: BenchJob, name: string) => Promise<void>}
   */
  async function adopt(job, name) {
    const kept = job.id ? await benchlore.keep.load(job.id) : null;
    const same = kept?.log && benchlore.address.same(benchlore.job.present(kept.log), job);
    let opened = benchlore.job.begin(Object.assign({}, job, { id: job.id || freshId() }));
    if (same && kept?.log) opened = kept.log;
    else if (kept) {
      opened = withId(opened, freshId());
      message(
        "file",
        name + " holds another state of a job that is kept here. Both are kept: this is the one of the file.",
      );
    }
    await openLog(opened);
    keep();
  }

  /**
   * What an address asks for: a kept job, a job sent from elsewhere, or the start of one. False for an empty address.
   * @type {(hash: string) => Promise<boolean>}
   */
  async function openAddress(hash) {
    let job;
    try {
      job = benchlore.address.decode(hash);
    } catch (error) {
      message(
        "address",
        (error instanceof Error ? error.message : String(error)) + " Nothing that is kept was changed.",
      );
      history.pushState(null, "", "#"); // so that Back leads to the address as it was
      writeAddress();
      return false;
    }
    if (!job) return false;
    if (!job.id && job.entries.every((entry) => entry.kind === "reading")) {
      await startFrom(job);
      return true;
    }
    const kept = job.id ? await benchlore.keep.load(job.id) : null;
    if (!kept?.log) await openUnkept(job, job.id || freshId(), "This job comes from the address.");
    else if (wasThere(kept.log, job)) await openLog(kept.log);
    else if (goesOn(benchlore.job.present(kept.log), job)) await offerMore(kept.log, job);
    else
      await openUnkept(
        job,
        freshId(),
        "This address holds another state of a job that is kept here: the other is under Jobs.",
      );
    return true;
  }

  /**
   * Open a job that somebody else may have made: the store gets it when the reader says so, or goes on with it.
   * @type {(job: BenchJob, id: string, from: string) => Promise<void>}
   */
  async function openUnkept(job, id, from) {
    message("unkept", from + " It is not kept in this browser until you go on with it.", "Keep it", keep);
    await openLog(benchlore.job.begin(Object.assign({}, job, { id })));
  }

  /**
   * Open a kept job, and offer the entries that the address has beyond it.
   * @type {(kept: BenchLog, job: BenchJob) => Promise<void>}
   */
  async function offerMore(kept, job) {
    history.pushState(null, "", "#"); // so that Back leads to the address as it was
    await openLog(kept);
    const more = job.entries.slice(benchlore.job.present(kept).entries.length);
    message(
      "more",
      "This address adds to a job that is kept here: " +
        more.map(inWords).join("; ") +
        ". Nothing is added until you say so.",
      more.length === 1 ? "Add this entry" : "Add these " + more.length + " entries",
      () => {
        dropMessage("more");
        if (!goesOn(benchlore.job.present(desk.log), job))
          return message("more", "The job has changed since: nothing was added. Open the address again.");
        for (const entry of more) desk.log = benchlore.job.take(desk.log, { do: "add", entry });
        changed();
      },
    );
  }

  /** @param {BenchEntry} entry */
  function inWords(entry) {
    if (entry.kind === "escalate") return actionName({ kind: "escalate", id: "" });
    if (entry.kind === "fix") return actionName({ kind: "fix", id: entry.fault }) + " (" + entry.result + ")";
    return actionName({ kind: "measure", id: entry.measure }) + ": " + entry.text;
  }

  /**
   * A link that starts a job: what it does not say comes from what was chosen last, but for the revision, which is
   * asked for each board anew. A reading that it brings is the job's first entry.
   * @param {BenchJob} asked
   */
  async function startFrom(asked) {
    const chosen = await benchlore.keep.defaults();
    const { revision, symptoms, words, label } = asked;
    const meter = asked.meter || chosen.meter || book.shop.default_meter;
    const board = asked.family || chosen.family;
    const setup = { family: board, revision, symptoms, words, label, meter };
    let begun = benchlore.job.begin(benchlore.job.create(freshId(), setup, now()));
    for (const entry of asked.entries) {
      const taken = { ...entry, at: now() };
      if (taken.kind === "reading" && !taken.meter) Object.assign(taken, { meter });
      begun = benchlore.job.take(begun, { do: "add", entry: taken });
    }
    await openLog(begun);
    if (benchlore.job.present(desk.log).revision === "" && desk.assessment) toSetup();
    keep();
  }

  /** @type {(kept: BenchLog, job: BenchJob) => boolean} */
  function wasThere(kept, job) {
    for (let count = 0; count <= kept.steps.length; count += 1)
      if (benchlore.address.same(benchlore.job.at(kept, count), job)) return true;
    return false;
  }

  /**
   * True when the address holds everything that is kept and more entries after it.
   * @type {(kept: BenchJob, job: BenchJob) => boolean}
   */
  function goesOn(kept, job) {
    const start = Object.assign({}, job, { entries: job.entries.slice(0, kept.entries.length) });
    return job.entries.length > kept.entries.length && benchlore.address.same(kept, start);
  }

  /** @type {Map<string, Promise<void>>} */
  const loading = new Map();

  /**
   * The family's data, by a script that is added once.
   * @type {(id: string) => Promise<BenchFamily>}
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
        ownNames(benchlore.benchFamilies[id]);
      } catch {
        loading.delete(id);
        message(
          "family",
          "The data of " +
            listed.title +
            " could not be loaded (" +
            listed.script +
            "). Is the site's folder whole? The job is kept.",
        );
      }
    }
    return benchlore.benchFamilies[id] || NO_FAMILY;
  }

  /** @param {string} id */
  function gone(id) {
    return (
      "This book has no board family '" +
      id +
      "'. The job is kept as it is; open it with the site that made it, or begin a new job."
    );
  }

  /** @type {(path: string) => Promise<void>} */
  function loadScript(path) {
    return new Promise((resolve, reject) => {
      const script = document.createElement("script");
      script.src = path;
      script.onload = () => resolve();
      script.onerror = () => reject(new Error(path));
      document.head.append(script);
    });
  }

  /** Another window may have gone on with this job. */
  async function refresh() {
    const id = desk.log.base.id;
    if (!(await benchlore.keep.changedElsewhere(id)) || desk.log.base.id !== id) return;
    const kept = await benchlore.keep.load(id);
    if (!kept?.log) return;
    message("elsewhere", "This job was changed in another window. Its newest state is shown.");
    await openLog(kept.log);
  }

  benchlore.opening = { startNew, openLog, adopt, openAddress, loadFamily, refresh };
})();
