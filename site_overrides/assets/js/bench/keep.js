/*
 * Jobs that this browser keeps. Each is a record of its own: a turn that counts its changes, and its log.
 *
 * The store answers late and a page may be closed before it does, so what is not written yet is also left in the
 * memory of the tab (sessionStorage) at once. On opening it is written, and the record with the larger turn holds.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  const JOBS = "bench/jobs/";
  const CURRENT = "bench/current";
  const DEFAULTS = "bench/defaults";
  const UNWRITTEN = "benchlore/bench/unwritten/";
  const LAST = "benchlore/bench/last";

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
    inTab((tab) => {
      tab.setItem(UNWRITTEN + id, JSON.stringify(record));
      tab.setItem(LAST, id);
    });
    return enqueue(id, record);
  }

  /**
   * @param {string} id
   * @param {BenchRecord} record
   */
  function enqueue(id, record) {
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
    const same = isRecord(there) && JSON.stringify(there.log) === JSON.stringify(record.log);
    const elsewhere = isRecord(there) && there.turn >= record.turn && !same;
    const kept = !elsewhere && (await benchlore.store.set(JOBS + id, record));
    if (!elsewhere && !kept) return "failed";
    if ((turns.get(id) || 0) <= record.turn) inTab((tab) => tab.removeItem(UNWRITTEN + id));
    if (elsewhere) return "elsewhere";
    await setOnce(CURRENT, id);
    return "kept";
  }

  /** Write what an earlier page of this tab did not get to write; beside the job, if another window has gone on with it. */
  function recover() {
    const keys = inTab((tab) => Object.keys(tab).filter((key) => key.startsWith(UNWRITTEN))) || [];
    for (const key of keys) {
      const id = key.slice(UNWRITTEN.length);
      const record = unwritten(id);
      if (!record) continue;
      turns.set(id, record.turn);
      void enqueue(id, record).then((how) => {
        const kept = how === "elsewhere" ? read(id, record).log : null;
        if (!kept) return;
        const other = benchlore.job.newId(Date.now(), Math.random);
        const log = {
          base: Object.assign({}, kept.base, { id: other }),
          steps: kept.steps,
          cursor: kept.cursor,
        };
        void enqueue(other, { turn: 1, time: record.time, log });
      });
    }
  }

  /** @type {Map<string, string>} */
  const written = new Map();

  /**
   * Keep a small value, unless this page wrote the same one last.
   * @param {string} key
   * @param {unknown} value
   */
  async function setOnce(key, value) {
    const text = JSON.stringify(value);
    if (written.get(key) === text) return;
    if (await benchlore.store.set(key, value)) written.set(key, text);
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
    const left = unwritten(id);
    const newer = left && (!isRecord(stored) || left.turn > stored.turn) ? left : stored;
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
    inTab((tab) => tab.removeItem(UNWRITTEN + id));
    return benchlore.store.remove(JOBS + id);
  }

  /** The id of the job that was open last, or nothing. @returns {Promise<string>} */
  async function current() {
    const last = inTab((tab) => tab.getItem(LAST));
    if (last) return last;
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
    queue = queue.then(() => setOnce(DEFAULTS, { family, revision, meter }));
  }

  /**
   * What this tab has not written of a job, or null.
   * @param {string} id
   * @returns {BenchRecord | null}
   */
  function unwritten(id) {
    const text = inTab((tab) => tab.getItem(UNWRITTEN + id));
    try {
      const record = JSON.parse(text || "null");
      return isRecord(record) ? record : null;
    } catch {
      return null;
    }
  }

  /**
   * Use the memory of this tab. It is a second net: where it is full or forbidden, the store and the address still
   * hold the job.
   * @template T
   * @param {(tab: Storage) => T} use
   * @returns {T | null}
   */
  function inTab(use) {
    try {
      return use(sessionStorage);
    } catch {
      return null;
    }
  }

  /**
   * @param {unknown} data
   * @returns {data is BenchRecord}
   */
  function isRecord(data) {
    return (
      typeof data === "object" &&
      data !== null &&
      typeof (/** @type {{turn?: unknown}} */ (data).turn) === "number"
    );
  }

  recover();
  benchlore.keep = { save, settled, load, list, remove, current, defaults, remember, changedElsewhere };
})();
