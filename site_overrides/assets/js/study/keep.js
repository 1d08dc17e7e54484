/*
 * Progress that this browser keeps: one record a family, and the trainee's name. When another window has written
 * meanwhile, the two records are made into one.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));

  const TRAINEE = "study/trainee";
  const records = benchlore.records.keeper("study/progress/", (family, mine, there) => {
    try {
      return study.progress.merged(study.progress.check(mine, family), study.progress.check(there, family));
    } catch {
      return null; // what is there is damaged: it stays, and load has said so
    }
  });

  /**
   * The progress of a family: empty when there is none. `damage` says why what is kept cannot be read; it stays.
   * @type {(family: string) => Promise<{progress: StudyProgress, damage: string}>}
   */
  async function load(family) {
    const found = await records.newest(family);
    if (found === null) return { progress: study.progress.empty(), damage: "" };
    try {
      const progress = study.progress.check(found, family);
      records.seen(family, progress.turn);
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
   * @type {(family: string, progress: StudyProgress) => Promise<StudyProgress | null>}
   */
  async function save(family, progress) {
    const { how, record } = await records.save(family, progress);
    return how === "kept" ? /** @type {any} */ (record) : null;
  }

  /**
   * Put other progress in the place of all that there is. Nothing is forgotten before the new is kept.
   * @param {Readonly<Record<string, StudyProgress>>} progress by family
   */
  async function replaceAll(progress) {
    const before = await records.ids();
    for (const [family, one] of Object.entries(progress)) {
      const there = await records.newest(family);
      if (benchlore.records.isRecord(there)) records.seen(family, there.turn);
      if (!(await save(family, one))) return false;
    }
    for (const family of before.filter((id) => !(id in progress))) await records.remove(family);
    return true;
  }

  /** Forget all progress and the trainee's name, also what only the tab still holds. */
  async function wipe() {
    for (const family of new Set([...(await records.ids()), ...records.idsInTab()]))
      await records.remove(family);
    return benchlore.store.remove(TRAINEE);
  }

  /** @returns {Promise<string>} */
  async function trainee() {
    const name = await benchlore.store.get(TRAINEE);
    return typeof name === "string" ? name : "";
  }

  /** @param {string} name */
  function nameTrainee(name) {
    return records.then(() => benchlore.store.set(TRAINEE, name));
  }

  records.recover();
  const { ids: families, settled } = records;
  study.keep = { load, save, replaceAll, families, wipe, trainee, nameTrainee, settled };
})();
