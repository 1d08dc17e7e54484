/*
 * Jobs that this browser keeps, each with its log; which one was open last, and what was chosen last.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));
  const { keeper, inTab, isRecord } = benchlore.records;

  const CURRENT = "bench/current";
  const DEFAULTS = "bench/defaults";
  const LAST = "benchlore/bench/last";
  const READ = "benchlore/bench/read/";
  const jobs = keeper("bench/jobs/");

  /**
   * Keep a job. Resolves to "kept", "failed" (the store says why), or "elsewhere": another window has changed the
   * job meanwhile, and nothing was written over it.
   * @param {BenchLog} log
   * @param {string} time ISO 8601
   */
  function save(log, time) {
    const id = log.base.id;
    inTab((tab) => tab.setItem(LAST, id));
    const saved = jobs.save(id, { time, log });
    return jobs.then(async () => {
      const { how } = await saved;
      if (how === "kept") await setOnce(CURRENT, id);
      return how;
    });
  }

  /** What an earlier page of this tab did not get to write; beside the job, if another window has gone on with it. */
  async function recover() {
    for (const { id, how, record } of await Promise.all(jobs.recover())) {
      if (how === "kept") await setOnce(CURRENT, id);
      const kept = how === "elsewhere" ? read(id, record).log : null;
      if (!kept) continue;
      const base = Object.assign({}, kept.base, { id: benchlore.job.newId(Date.now(), Math.random) });
      await jobs.save(base.id, { time: record.time, log: { base, steps: kept.steps, cursor: kept.cursor } });
    }
  }

  /** @type {Map<string, string>} */
  const written = new Map();

  /**
   * Keep a small value, unless this page wrote the same one last.
   * @type {(key: string, value: unknown) => Promise<void>}
   */
  async function setOnce(key, value) {
    const text = JSON.stringify(value);
    if (written.get(key) === text) return;
    if (await benchlore.store.set(key, value)) written.set(key, text);
  }

  /** Resolves when everything saved so far is written. */
  async function settled() {
    await recovered;
    return jobs.settled();
  }

  /**
   * The job kept under an id: its log, or why it cannot be read; null when there is none.
   * @type {(id: string) => Promise<BenchKept | null>}
   */
  async function load(id) {
    const found = await jobs.newest(id);
    return found === null ? null : read(id, found);
  }

  /** @type {(id: string, data: unknown) => BenchKept} */
  function read(id, data) {
    try {
      if (!isRecord(data)) throw new Error("It is not a job of this page.");
      const log = benchlore.jobfile.checkLog(data.log);
      jobs.seen(id, data.turn);
      return { id, log, time: typeof data.time === "string" ? data.time : "", damage: "", raw: "" };
    } catch (error) {
      const reason = error instanceof Error ? error.message : String(error);
      return { id, log: null, time: "", damage: reason, raw: JSON.stringify(data, null, 2) };
    }
  }

  /** All jobs, the last changed first. @returns {Promise<BenchKept[]>} */
  async function list() {
    const all = await Promise.all((await jobs.ids()).map(load));
    const found = /** @type {BenchKept[]} */ (all.filter((kept) => kept !== null));
    return found.sort((a, b) => (a.time < b.time ? 1 : a.time > b.time ? -1 : 0));
  }

  /** The id of the job that was open last, or nothing. @returns {Promise<string>} */
  async function current() {
    const last = inTab((tab) => tab.getItem(LAST));
    if (last) return last;
    const id = await benchlore.store.get(CURRENT);
    return typeof id === "string" ? id : "";
  }

  /** In this tab: that the standing hazards of a job were read. @param {string} id */
  function markRead(id) {
    inTab((tab) => tab.setItem(READ + id, "1"));
  }

  /** @param {string} id */
  function wasRead(id) {
    return id !== "" && inTab((tab) => tab.getItem(READ + id)) === "1";
  }

  /** What was chosen last, and is likely again: the board and the meter. @returns {Promise<Partial<BenchSetup>>} */
  async function defaults() {
    const found = await benchlore.store.get(DEFAULTS);
    return found && typeof found === "object" ? found : {};
  }

  /** @type {(job: BenchJob) => void} */
  function remember(job) {
    const { family, meter } = job;
    void jobs.then(() => setOnce(DEFAULTS, { family, meter }));
  }

  const recovered = recover();
  const { remove, changedElsewhere } = jobs;
  benchlore.keep = {
    save,
    settled,
    load,
    list,
    remove,
    current,
    defaults,
    remember,
    markRead,
    wasRead,
    changedElsewhere,
  };
})();
