/*
 * Walks that this browser keeps, one record a board.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WalkScripts} */ ((window.benchlore = window.benchlore || {}));
  const walks = (benchlore.walks = benchlore.walks || /** @type {WalkParts} */ ({}));

  const records = benchlore.records.keeper("walk/boards/");

  /**
   * Keep a walk. Resolves to "kept", "failed" (the store says why), or "elsewhere": another window has gone on with it.
   * @param {WalkRecord} walk
   * @param {string} time ISO 8601
   */
  async function save(walk, time) {
    return (await records.save(walk.id, { time, walk })).how;
  }

  /**
   * The walks of a family, or those of free points; the last changed first. `damage`: why others cannot be read; they are
   * left as they are.
   * @type {(family: string) => Promise<{walks: WalkRecord[], damage: string[]}>}
   */
  async function list(family) {
    await Promise.all(records.recover());
    /** @type {{time: string, walk: WalkRecord}[]} */
    const found = [];
    /** @type {string[]} */
    const damage = [];
    for (const id of await records.ids()) {
      const kept = await records.newest(id);
      try {
        if (!benchlore.records.isRecord(kept)) throw new Error("It is not a walk of this page.");
        const walk = walks.file.check(kept.walk);
        records.seen(id, kept.turn);
        if (walk.family === family) found.push({ time: String(kept.time), walk });
      } catch (error) {
        damage.push(error instanceof Error ? error.message : String(error));
      }
    }
    const sorted = found.sort((a, b) => (a.time < b.time ? 1 : -1));
    return { walks: sorted.map(({ walk }) => walk), damage };
  }

  const { remove, settled } = records;
  walks.keep = { save, list, remove, settled };
})();
