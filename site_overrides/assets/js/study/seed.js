/*
 * The seed of a session as it is shown and typed. A seed alone draws cards and everything about them; but cards that
 * were due or unseen are chosen from a trainee's progress, and another browser has another one. Then the places of the
 * cards follow the seed after a dash: their count, one number in the letters of seeds, and three letters that tell a
 * slip of the pen, another exercise or another book.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));

  const CHECK = 3; // letters
  const GROUP = 6; // letters between two dashes
  const PLAIN = 6; // letters of a seed that the page made

  /**
   * What to show and to type for a session.
   * @type {(deck: StudyDeck, session: {exercise: string, seed: string, cards: readonly string[]}) => string}
   */
  function shown(deck, session) {
    const { exercise, seed, cards } = session;
    const known = study.deck.cardsOf(deck, exercise);
    if (study.deck.drawn(known, seed, exercise, sizeOf(exercise)).join(" ") === cards.join(" ")) return seed;
    const ids = known.map((card) => card.id);
    const places = cards.map((id) => ids.indexOf(id));
    const letters = study.random.LETTERS;
    if (places.includes(-1) || places.length >= letters.length) return seed;
    let number = 0n;
    for (const place of places) number = number * BigInt(ids.length) + BigInt(place);
    const base = BigInt(letters.length);
    let digits = "";
    for (; number > 0n; number /= base) digits = letters[Number(number % base)] + digits;
    const body = letters[places.length] + digits;
    const tail = body + checkOf(seed, body, exercise, ids);
    return [seed].concat(tail.match(new RegExp(".{1," + GROUP + "}", "g")) || []).join("-");
  }

  /**
   * The session that a typed seed names, or why it names none. A seed with cards knows its exercise; for one without,
   * `exercise` says what is drawn.
   * @param {StudyDeck} deck
   * @param {string} exercise
   * @param {string} typed
   * @returns {{exercise: string, seed: string, cards: readonly string[]} | BenchRefusal}
   */
  function read(deck, exercise, typed) {
    const text = typed.toUpperCase().trim();
    const dash = text.search(/[-\u2010-\u2015]/);
    const bare = text.replace(/[^A-Z0-9]/g, "");
    if (!bare)
      return { reason: "no seed was typed", mend: "type the letters and digits that the session showed" };
    const [seed, tail] =
      dash > 0 ? [text.slice(0, dash), text.slice(dash)] : [bare.slice(0, PLAIN), bare.slice(PLAIN)];
    const exercises = [exercise].concat(Object.keys(study.deck.EXERCISES).filter((one) => one !== exercise));
    for (const one of exercises) {
      const cards = cardsOf(deck, one, study.random.spelled(seed), tail.replace(/[^A-Z0-9]/g, ""));
      if (cards) return { exercise: one, seed: study.random.spelled(seed), cards };
    }
    if (dash > 0)
      return {
        reason: "this seed does not fit this board",
        mend: "check its letters; it may also come from another board or an older book",
      };
    const plain = study.random.spelled(bare);
    return {
      exercise,
      seed: plain,
      cards: study.deck.drawn(study.deck.cardsOf(deck, exercise), plain, exercise, sizeOf(exercise)),
    };
  }

  /**
   * The cards that follow a seed, or null where they are none of the exercise.
   * @type {(deck: StudyDeck, exercise: string, seed: string, tail: string) => string[] | null}
   */
  function cardsOf(deck, exercise, seed, tail) {
    const letters = study.random.LETTERS;
    const ids = study.deck.cardsOf(deck, exercise).map((card) => card.id);
    const body = tail.slice(0, -CHECK);
    if (!body || tail.slice(-CHECK) !== checkOf(seed, body, exercise, ids)) return null;
    const [count, ...digits] = [...body].map((letter) => letters.indexOf(letter));
    let number = 0n;
    for (const digit of digits) number = number * BigInt(letters.length) + BigInt(digit);
    const cards = [];
    for (let n = 0; n < count; n += 1) {
      cards.unshift(ids[Number(number % BigInt(ids.length))]);
      number /= BigInt(ids.length);
    }
    return count > 0 ? cards : null;
  }

  /** @type {(seed: string, body: string, exercise: string, ids: readonly string[]) => string} */
  function checkOf(seed, body, exercise, ids) {
    const letters = study.random.LETTERS;
    let left = study.random.hash([seed, body, exercise, ids.join(" ")].join("/"));
    let found = "";
    for (let n = 0; n < CHECK; n += 1) {
      found += letters[left % letters.length];
      left = Math.floor(left / letters.length);
    }
    return found;
  }

  /** Cards of one session. @param {string} exercise */
  function sizeOf(exercise) {
    return study.deck.EXERCISES[exercise].cards;
  }

  study.seed = { shown, read, sizeOf };
})();
