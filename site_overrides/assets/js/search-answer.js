/**
 * What is typed, answered: by the search box from the whole book, at the bench's intake from the symptoms of a board. One
 * matcher for both. No access to the page.
 */
(function () {
  "use strict";
  const benchlore = /** @type {Benchlore} */ ((window.benchlore = window.benchlore || {}));

  /**
   * A text without a bare number that names no measurement: `speedo reads 0`. Empty where it has none.
   * @param {TypedReading | null | undefined} reading
   */
  const withoutNumber = (reading) =>
    reading && !reading.asks && !reading.unit && reading.low !== Infinity ? reading.where : "";

  /**
   * @param {string} text @param {SearchEngine} engine
   * @param {SearchReadings | null} readings null where the text holds no reading
   * @param {SearchOptions} options @returns {SearchAnswered}
   */
  function find(text, engine, readings, options) {
    const reading = benchlore.searchReading?.parse(text);
    const meanings = reading && readings ? readings.find(text, { family: options.family }) : [];
    const named = meanings.some((meaning) => meaning.named);
    const words = named && reading ? reading.where : text;
    const also = named ? "" : withoutNumber(reading);
    const { results, known } = engine.answer(words, { ...options, also });
    const dangers = engine.dangers(text, options.family);
    return {
      dangers,
      meanings,
      named,
      results: results.filter(({ number }) => !dangers.some((danger) => danger.number === number)),
      known: known || meanings.length > 0,
      asks: reading?.asks || "",
    };
  }

  /**
   * The symptoms of a board that fit, best first, and whether the book knows what is said.
   * @param {string} text @param {SearchEngine} engine @param {readonly string[]} ids of the board's symptoms
   * @returns {{ids: string[], phrases: string[], languages: string[], known: boolean}}
   */
  function symptoms(text, engine, ids) {
    const also = withoutNumber(benchlore.searchReading?.parse(text));
    const { results, known } = engine.answer(text, { kind: "symptom", keys: ids, limit: ids.length, also });
    return {
      ids: results.map((result) => result.key),
      phrases: results.map((result) => (result.detail === result.title ? "" : result.detail)),
      languages: results.map((result) => result.language),
      known,
    };
  }

  benchlore.searchAnswer = { find, symptoms };
})();
