/*
 * Keeping progress in this browser: one record a family, with a turn that counts its changes.
 *
 * The store answers late and a page may be closed before it does, so the last change is also left in the memory of the
 * tab at once; on opening, the record with the larger turn holds. When another window has written meanwhile, the two
 * records are made into one.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));

  const PROGRESS = "study/progress/";
  const TRAINEE = "study/trainee";
  const TAB = "benchlore/study/";

  /** Changes are written one after the other. @type {Promise<unknown>} */
  let queue = Promise.resolve();
  /** The turn that this page last read or wrote, by family. @type {Map<string, number>} */
  const turns = new Map();

  /**
   * The progress of a family: empty when there is none. `damage` says why what is kept cannot be read; it stays.
   * @param {string} family
   * @returns {Promise<{progress: StudyProgress, damage: string}>}
   */
  async function load(family) {
    const stored = await benchlore.store.get(PROGRESS + family);
    const tab = fromTab(family);
    const newest = isRecord(tab) && (!isRecord(stored) || tab.turn > stored.turn) ? tab : stored;
    if (newest === null || newest === undefined) return { progress: study.progress.empty(), damage: "" };
    try {
      const progress = study.progress.check(newest, family);
      turns.set(family, progress.turn);
      return { progress, damage: "" };
    } catch (error) {
      return {
        progress: study.progress.empty(),
        damage: error instanceof Error ? error.message : String(error),
      };
    }
  }

  /**
   * Keep the progress of a family. Resolves to what is kept, which is more when another window has written too, or to
   * null when nothing could be kept.
   * @param {string} family
   * @param {StudyProgress} progress
   * @returns {Promise<StudyProgress | null>}
   */
  function save(family, progress) {
    const turn = (turns.get(family) || 0) + 1;
    const record = Object.assign({}, progress, { turn });
    const before = turns.get(family) || 0;
    turns.set(family, turn);
    leaveInTab(family, record);
    const done = queue.then(() => write(family, record, before));
    queue = done;
    return done;
  }

  /**
   * @param {string} family
   * @param {StudyProgress} record
   * @param {number} before turn that the change was made on
   * @returns {Promise<StudyProgress | null>}
   */
  async function write(family, record, before) {
    const there = await benchlore.store.get(PROGRESS + family);
    let mine = record;
    if (isRecord(there) && there.turn > before) {
      try {
        const other = study.progress.check(there, family);
        mine = Object.assign({}, study.progress.merged(record, other), {
          turn: Math.max(record.turn, other.turn) + 1,
        });
        turns.set(family, Math.max(turns.get(family) || 0, mine.turn));
      } catch {
        return null; // what is there is damaged: it stays, and load has said so
      }
    }
    return (await benchlore.store.set(PROGRESS + family, mine)) ? mine : null;
  }

  /** The families that have progress. @returns {Promise<string[]>} */
  async function families() {
    await queue;
    return (await benchlore.store.keys(PROGRESS)).map((key) => key.slice(PROGRESS.length));
  }

  /**
   * Put other progress in the place of all that there is. Nothing is forgotten before the new is kept.
   * @param {Readonly<Record<string, StudyProgress>>} progress by family
   */
  async function replaceAll(progress) {
    const before = await families();
    for (const [family, one] of Object.entries(progress)) if (!(await replace(family, one))) return false;
    for (const family of before.filter((id) => !(id in progress))) await forget(family);
    return true;
  }

  /**
   * @param {string} family
   * @param {StudyProgress} progress
   */
  async function replace(family, progress) {
    const there = await benchlore.store.get(PROGRESS + family);
    const turn = Math.max(isRecord(there) ? there.turn : 0, turns.get(family) || 0) + 1;
    const record = Object.assign({}, progress, { turn });
    turns.set(family, turn);
    leaveInTab(family, record);
    return benchlore.store.set(PROGRESS + family, record);
  }

  /** Forget all progress and the trainee's name. */
  async function wipe() {
    for (const family of await families()) await forget(family);
    // Also what only the tab still holds, where the store is switched off.
    tabStore((tab) =>
      Object.keys(tab)
        .filter((key) => key.startsWith(TAB))
        .forEach((key) => tab.removeItem(key)),
    );
    return benchlore.store.remove(TRAINEE);
  }

  /** @param {string} family */
  async function forget(family) {
    turns.delete(family);
    tabStore((tab) => tab.removeItem(TAB + family));
    return benchlore.store.remove(PROGRESS + family);
  }

  /** @returns {Promise<string>} */
  async function trainee() {
    const name = await benchlore.store.get(TRAINEE);
    return typeof name === "string" ? name : "";
  }

  /** @param {string} name */
  function nameTrainee(name) {
    const done = queue.then(() => benchlore.store.set(TRAINEE, name));
    queue = done;
    return done;
  }

  /** Resolves when everything saved so far is written. */
  const settled = () => queue;

  /**
   * @param {string} family
   * @param {StudyProgress} record
   */
  function leaveInTab(family, record) {
    tabStore((tab) => tab.setItem(TAB + family, JSON.stringify(record)));
  }

  /**
   * @param {string} family
   * @returns {unknown}
   */
  function fromTab(family) {
    const text = tabStore((tab) => tab.getItem(TAB + family));
    try {
      return text ? JSON.parse(text) : null;
    } catch {
      return null;
    }
  }

  /**
   * The tab's memory is a second net: where it is full or forbidden, the store still holds the progress.
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

  /**
   * @param {unknown} data
   * @returns {data is {turn: number}}
   */
  function isRecord(data) {
    return (
      typeof data === "object" &&
      data !== null &&
      typeof (/** @type {{turn?: unknown}} */ (data).turn) === "number"
    );
  }

  study.keep = { load, save, replaceAll, families, wipe, trainee, nameTrainee, settled };
})();
