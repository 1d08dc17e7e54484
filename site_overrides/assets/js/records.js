/*
 * Keeping records in this browser: each has an id and a turn that counts its changes.
 *
 * The store answers late and a page may be closed before it does, so what is not written yet is also left in the
 * memory of the tab (sessionStorage) at once. On opening it is written, and the record with the larger turn holds.
 * A record that another window has written meanwhile is never written over.
 */
(function () {
  "use strict";
  const benchlore = /** @type {Benchlore & {store: SiteStore}} */ (
    (window.benchlore = window.benchlore || {})
  );

  /**
   * A keeper of the records under one start of keys. Its own changes are written one after the other.
   * @param {string} start `bench/jobs/`
   * @param {Parameters<Records["keeper"]>[1]} [join] what this page's record and the one of another window become together; without it, or where it
   * gives null, nothing is written
   * @returns {Keeper}
   */
  function keeper(start, join = () => null) {
    const left = "benchlore/unwritten/" + start;
    /** Turns that this page has written or read, by record. @type {Map<string, number>} */
    const turns = new Map();
    /** @type {Promise<unknown>} */
    let queue = Promise.resolve();

    /**
     * @template T
     * @param {() => Promise<T>} task
     * @returns {Promise<T>}
     */
    function then(task) {
      const done = queue.then(task);
      queue = done;
      return done;
    }

    /** @param {string} id @param {object} content @returns {Promise<KeptHow>} */
    function save(id, content) {
      const record = { ...content, turn: turnOf(id) + 1 };
      turns.set(id, record.turn);
      inTab((tab) => tab.setItem(left + id, JSON.stringify(record)));
      return then(() => write(id, record));
    }

    /** @param {string} id @param {KeptRecord} record @returns {Promise<KeptHow>} */
    async function write(id, record) {
      const there = await benchlore.store.get(start + id);
      let last = /** @type {KeptRecord | null} */ (record);
      if (isRecord(there) && there.turn >= record.turn && !alike(there, record)) {
        const joined = join(id, record, there);
        last = joined && { ...joined, turn: there.turn + 1 };
      }
      if (last && !(await benchlore.store.set(start + id, last))) return { how: "failed", record };
      if (turnOf(id) <= record.turn) inTab((tab) => tab.removeItem(left + id));
      if (!last) return { how: "elsewhere", record };
      seen(id, last.turn);
      return { how: "kept", record: last };
    }

    /** @param {string} id */
    async function newest(id) {
      const stored = await benchlore.store.get(start + id);
      const mine = unwritten(id);
      const found = mine && (!isRecord(stored) || mine.turn > stored.turn) ? mine : stored;
      return found === undefined ? null : found;
    }

    /** @param {string} id @param {number} turn */
    function seen(id, turn) {
      turns.set(id, Math.max(turnOf(id), turn));
    }

    /** @param {string} id */
    function turnOf(id) {
      return turns.get(id) || 0;
    }

    /** @param {string} id */
    function unwritten(id) {
      const text = inTab((tab) => tab.getItem(left + id));
      try {
        const record = JSON.parse(text || "null");
        return isRecord(record) ? record : null;
      } catch {
        return null;
      }
    }

    function idsInTab() {
      const keys = inTab((tab) => Object.keys(tab).filter((key) => key.startsWith(left))) || [];
      return keys.map((key) => key.slice(left.length));
    }

    function recover() {
      return idsInTab().flatMap((id) => {
        const record = unwritten(id);
        if (!record) return [];
        seen(id, record.turn);
        return [then(() => write(id, record)).then((kept) => ({ id, ...kept }))];
      });
    }

    /** @param {string} id */
    async function changedElsewhere(id) {
      await queue;
      const there = await benchlore.store.get(start + id);
      return isRecord(there) && there.turn > turnOf(id);
    }

    async function ids() {
      await queue;
      return (await benchlore.store.keys(start)).map((key) => key.slice(start.length));
    }

    /** @param {string} id */
    async function remove(id) {
      await queue;
      turns.delete(id);
      inTab((tab) => tab.removeItem(left + id));
      return benchlore.store.remove(start + id);
    }

    return {
      save,
      newest,
      seen,
      recover,
      changedElsewhere,
      ids,
      idsInTab,
      remove,
      then,
      settled: () => queue,
    };
  }

  /**
   * Whether two records say the same; when they were written does not count.
   * @type {(one: KeptRecord, other: KeptRecord) => boolean}
   */
  function alike(one, other) {
    const text = (/** @type {KeptRecord} */ record) => JSON.stringify({ ...record, turn: 0, time: "" });
    return text(one) === text(other);
  }

  /**
   * Use the memory of this tab. It is a second net: where it is full or forbidden, the store still holds the record.
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

  /** @type {(data: unknown) => data is KeptRecord} */
  function isRecord(data) {
    return (
      typeof data === "object" &&
      data !== null &&
      typeof (/** @type {{turn?: unknown}} */ (data).turn) === "number"
    );
  }

  benchlore.records = { keeper, inTab, isRecord };
})();
