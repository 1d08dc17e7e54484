/*
 * Jobs that this browser keeps. Each is a record of its own: a turn that counts its changes, and its log.
 *
 * The store answers late and a page may be closed before it does, so the last change is also left in the memory of
 * the tab (sessionStorage) at once; on opening, the record with the larger turn holds.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ (window.benchlore = window.benchlore || {});

  const JOBS = "bench/jobs/";
  const CURRENT = "bench/current";
  const DEFAULTS = "bench/defaults";
  const TAB = "benchlore/bench/last";

  /** Turns that this page has written or read, by job. @type {Map<string, number>} */
  const turns = new Map();
  /** Changes are written one after the other. @type {Promise<unknown>} */
  let queue = Promise.resolve();

  /**
   * Keep a job. Resolves to "kept", "failed" (the store says why), or "elsewhere": another window has changed the
   * job meanwhile, and nothing was written over it.
   * @param {BenchLog} log
   * @param {string} time ISO 8601
   * @returns {Promise<"kept" | "failed" | "elsewhere">}
   */
  function save(log, time) {
    const id = log.base.id;
    const before = turns.get(id) || 0;
    const record = { turn: before + 1, time, log };
    turns.set(id, record.turn);
    leaveInTab(record);
    const done = queue.then(() => write(id, record));
    queue = done;
    return done;
  }

  /**
   * @param {string} id
   * @param {BenchRecord} record
   * @returns {Promise<"kept" | "failed" | "elsewhere">}
   */
  async function write(id, record) {
    const there = await benchlore.store.get(JOBS + id);
    if (isRecord(there) && there.turn >= record.turn) return "elsewhere";
    const kept = await benchlore.store.set(JOBS + id, record);
    if (kept) await benchlore.store.set(CURRENT, id);
    return kept ? "kept" : "failed";
  }

  /** Resolves when everything saved so far is written. */
  function settled() {
    return queue;
  }

  /**
   * The job kept under an id: its log, or why it cannot be read; null when there is none.
   * @param {string} id
   * @returns {Promise<BenchKept | null>}
   */
  async function load(id) {
    const stored = await benchlore.store.get(JOBS + id);
    const tab = fromTab(id);
    const newer = tab && (!isRecord(stored) || tab.turn > stored.turn) ? tab : stored;
    if (newer === null || newer === undefined) return null;
    return read(id, newer);
  }

  /**
   * @param {string} id
   * @param {unknown} data
   * @returns {BenchKept}
   */
  function read(id, data) {
    try {
      if (!isRecord(data)) throw new Error("It is not a job of this page.");
      const log = benchlore.jobfile.checkLog(data.log);
      turns.set(id, Math.max(turns.get(id) || 0, data.turn));
      return { id, log, time: typeof data.time === "string" ? data.time : "", damage: "", raw: "" };
    } catch (error) {
      const reason = error instanceof Error ? error.message : String(error);
      return { id, log: null, time: "", damage: reason, raw: JSON.stringify(data, null, 2) };
    }
  }

  /**
   * True when another window has written the job after this one.
   * @param {string} id
   */
  async function changedElsewhere(id) {
    await queue;
    const there = await benchlore.store.get(JOBS + id);
    return isRecord(there) && there.turn > (turns.get(id) || 0);
  }

  /** All jobs, the last changed first. @returns {Promise<BenchKept[]>} */
  async function list() {
    await queue;
    const keys = await benchlore.store.keys(JOBS);
    const all = await Promise.all(keys.map((key) => load(key.slice(JOBS.length))));
    const found = /** @type {BenchKept[]} */ (all.filter((kept) => kept !== null));
    return found.sort((a, b) => (a.time < b.time ? 1 : a.time > b.time ? -1 : 0));
  }

  /**
   * Forget a job.
   * @param {string} id
   */
  async function remove(id) {
    await queue;
    turns.delete(id);
    if (fromTab(id)) tabStore((tab) => tab.removeItem(TAB));
    return benchlore.store.remove(JOBS + id);
  }

  /** The id of the job that was open last, or nothing. @returns {Promise<string>} */
  async function current() {
    const last = tabStore((tab) => tab.getItem(TAB));
    const record = last ? parsed(last) : null;
    if (isRecord(record) && typeof record.log === "object" && record.log) {
      const base = /** @type {{base?: {id?: unknown}}} */ (record.log).base;
      if (base && typeof base.id === "string") return base.id;
    }
    const id = await benchlore.store.get(CURRENT);
    return typeof id === "string" ? id : "";
  }

  /** What was chosen last. @returns {Promise<Partial<BenchSetup>>} */
  async function defaults() {
    const found = await benchlore.store.get(DEFAULTS);
    return found && typeof found === "object" ? found : {};
  }

  /**
   * @param {BenchJob} job
   */
  function remember(job) {
    const { family, revision, meter } = job;
    queue = queue.then(() => benchlore.store.set(DEFAULTS, { family, revision, meter }));
  }

  /** @param {BenchRecord} record */
  function leaveInTab(record) {
    tabStore((tab) => tab.setItem(TAB, JSON.stringify(record)));
  }

  /**
   * @param {string} id
   * @returns {BenchRecord | null}
   */
  function fromTab(id) {
    const text = tabStore((tab) => tab.getItem(TAB));
    const record = text ? parsed(text) : null;
    if (!isRecord(record)) return null;
    const log = /** @type {{base?: {id?: unknown}} | null} */ (record.log);
    return log && log.base && log.base.id === id ? record : null;
  }

  /**
   * The tab's memory is a second net: where it is full or forbidden, the store and the address still hold the job.
   * @template T
   * @param {(tab: Storage) => T} use
   * @returns {T | null}
   */
  function tabStore(use) {
    try {
      return use(sessionStorage);
    } catch {
      return null;
    }
  }

  /** @param {string} text @returns {unknown} */
  function parsed(text) {
    try {
      return JSON.parse(text);
    } catch {
      return null;
    }
  }

  /**
   * @param {unknown} data
   * @returns {data is BenchRecord}
   */
  function isRecord(data) {
    return typeof data === "object" && data !== null && typeof (/** @type {{turn?: unknown}} */ (data).turn) === "number";
  }

  benchlore.keep = { save, settled, load, list, remove, current, defaults, remember, changedElsewhere };
})();
