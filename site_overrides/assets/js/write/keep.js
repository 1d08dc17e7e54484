/*
 * Drafts that this browser keeps, each with its turn. Two windows never write over each other: where both have changed
 * one draft, the later goes on as a draft of its own.
 */
(function () {
  "use strict";
  const benchlore = /** @type {WriteScripts} */ ((window.benchlore = window.benchlore || {}));
  const { keeper, inTab, isRecord } = benchlore.records;

  const CURRENT = "benchlore/write/current";
  const drafts = keeper("write/drafts/");

  /**
   * Keep a draft.
   * @type {(draft: WriteDraft) => Promise<KeptHow["how"]>}
   */
  async function save(draft) {
    inTab((tab) => tab.setItem(CURRENT, draft.id));
    return (await drafts.save(draft.id, { draft })).how;
  }

  /** @type {(id: string) => Promise<WriteDraft | null>} */
  async function load(id) {
    const found = await drafts.newest(id);
    if (!isRecord(found) || !isDraft(found.draft)) return null;
    drafts.seen(id, found.turn);
    return found.draft;
  }

  /** @type {(data: any) => data is WriteDraft} */
  function isDraft(data) {
    const texts = ["id", "family", "name", "before", "time"];
    const record = data?.record;
    return (
      texts.every((name) => typeof data?.[name] === "string") && typeof record === "object" && record !== null
    );
  }

  /** All drafts, the last changed first. @returns {Promise<WriteDraft[]>} */
  async function list() {
    await recovered;
    const all = await Promise.all((await drafts.ids()).map(load));
    return all.flatMap((one) => (one ? [one] : [])).sort((a, b) => (a.time < b.time ? 1 : -1));
  }

  /** The draft that this tab had open last. @returns {Promise<WriteDraft | null>} */
  async function current() {
    await recovered;
    const id = inTab((tab) => tab.getItem(CURRENT));
    return id ? load(id) : null;
  }

  function leave() {
    inTab((tab) => tab.removeItem(CURRENT));
  }

  /** What an earlier page of this tab did not get to write; beside the draft, if another window went on with it. */
  async function recover() {
    for (const { how, record } of await Promise.all(drafts.recover()))
      if (how === "elsewhere" && isDraft(record.draft)) await save({ ...record.draft, id: newId() });
  }

  function newId() {
    return Date.now().toString(36) + Math.random().toString(36).slice(2, 8);
  }

  const recovered = recover();
  const { remove, settled } = drafts;
  benchlore.drafts = { save, load, list, current, leave, remove, settled, newId };
})();
