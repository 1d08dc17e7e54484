/*
 * Symptoms in the customer's words: which of a family's symptoms fit what is typed. It is the site's search that
 * answers, kept to these symptoms; its index is loaded with the first letter.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  /** @type {SearchEngine | null} */
  let engine = null;

  /** Loads the index once. Fails with the reason in words. */
  async function load() {
    engine = await benchlore.search.ready();
  }

  /**
   * The symptoms that fit, best first, each with the phrase that fits; the others after them where the book does not know
   * what is said. All of them for an empty text, and while the index is not there.
   * @type {(ids: readonly string[], typed: string) => BenchFound}
   */
  function find(ids, typed) {
    const all = ids.map((id) => ({ id, phrase: "", language: "" }));
    if (!typed.trim()) return { offers: all, known: true, ready: true };
    if (!engine) return { offers: all, known: true, ready: false };
    const found = benchlore.searchAnswer.symptoms(typed, engine, ids);
    const offers = found.ids.map((id, n) => ({
      id,
      phrase: found.phrases[n],
      language: found.languages[n],
    }));
    const rest = found.known ? [] : all.filter(({ id }) => !found.ids.includes(id));
    return { offers: [...offers, ...rest], known: found.known, ready: true };
  }

  benchlore.symptoms = { load, find };
})();
