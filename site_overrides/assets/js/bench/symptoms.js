/*
 * Symptoms in the customer's words: which of a family's symptoms fit what is typed. Words are split and typos are
 * forgiven as in the site's search.
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  const STOP =
    "a an and are as at be but by can do does for from has have i in is it its my no of on or so the to was when".split(
      " ",
    );
  const EXACT = 3;
  const BEGINS = 2;
  const TYPO = 1;
  const SHORTEST_TYPO = 4;

  /**
   * The symptoms that fit, best first, each with the phrase that fits best; all of them for an empty text.
   * @param {BenchBook} book
   * @param {readonly string[]} ids
   * @param {string} typed
   * @returns {{id: string, phrase: string, score: number}[]}
   */
  function find(book, ids, typed) {
    const asked = words(typed).filter((word, _, all) => !STOP.includes(word) || all.length === 1);
    /** @type {{id: string, phrase: string, score: number}[]} */
    const found = [];
    for (const id of ids) {
      const symptom = book.symptoms[id];
      if (!symptom) continue;
      const phrases = [symptom.title, ...symptom.said];
      let best = { id, phrase: "", score: 0 };
      for (const phrase of phrases) {
        const score = fit(asked, words(phrase));
        if (score > best.score) best = { id, phrase: phrase === symptom.title ? "" : phrase, score };
      }
      if (asked.length === 0 || best.score > 0) found.push(best);
    }
    return found.sort((a, b) => b.score - a.score);
  }

  /**
   * @param {readonly string[]} asked
   * @param {readonly string[]} phrase
   */
  function fit(asked, phrase) {
    let score = 0;
    asked.forEach((word, n) => {
      let best = 0;
      for (const known of phrase) {
        if (known === word) best = EXACT;
        else if (best < BEGINS && word.length > 1 && known.startsWith(word)) best = BEGINS;
        else if (best < TYPO && word.length >= SHORTEST_TYPO) {
          if (benchlore.searchEngine.isNear(word, known, n === asked.length - 1)) best = TYPO;
        }
      }
      score += best;
    });
    return score / Math.max(1, asked.length) + score / (10 * Math.max(1, phrase.length));
  }

  /** @param {string} text */
  function words(text) {
    return benchlore.searchEngine.words(text).map((pieces) => pieces.join(""));
  }

  benchlore.symptoms = { find };
})();
