/*
 * Which cards of a family come next, and how much of it is known.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));

  const EXERCISES = benchlore.vocabulary.exercises;

  /**
   * The cards of an exercise, in the order of the path; of one net or symptom only where `subject` names it.
   * @type {(deck: StudyDeck, exercise: string, subject?: string) => StudyCard[]}
   */
  function cardsOf(deck, exercise, subject) {
    const { kinds } = EXERCISES[exercise];
    return deck.cards.filter((card) => kinds.includes(card.kind) && (!subject || card.subject === subject));
  }

  /**
   * Ids of the cards for a session: those that are due, the longest due first; then unseen ones along the path; when
   * there are neither, those that will be due soonest.
   * @param {readonly StudyCard[]} cards
   * @param {Readonly<Record<string, StudyState>>} states
   * @param {number} day
   * @param {number} size
   * @returns {string[]}
   */
  function next(cards, states, day, size) {
    const seen = cards
      .map((card, place) => ({ id: card.id, place, state: states[card.id] }))
      .filter((one) => one.state);
    seen.sort((a, b) => a.state.due - b.state.due || a.place - b.place);
    const due = seen.filter((one) => study.schedule.isDue(one.state, day)).map((one) => one.id);
    const unseen = cards.filter((card) => !states[card.id]).map((card) => card.id);
    const chosen = due.concat(unseen).slice(0, size);
    return chosen.length ? chosen : seen.slice(0, size).map((one) => one.id);
  }

  /**
   * Cards that a seed draws, whatever is known: the same for everybody.
   * @type {(cards: readonly StudyCard[], seed: string, exercise: string, size: number) => string[]}
   */
  function drawn(cards, seed, exercise, size) {
    return study.random
      .stream(seed, "cards", exercise)
      .shuffled(cards.map((card) => card.id))
      .slice(0, size);
  }

  /**
   * How many cards are known, shaky, unseen and due.
   * @param {readonly StudyCard[]} cards
   * @param {Readonly<Record<string, StudyState>>} states
   * @param {number} day
   * @returns {StudyCounts}
   */
  function counts(cards, states, day) {
    const found = { all: cards.length, known: 0, shaky: 0, unseen: 0, due: 0 };
    for (const card of cards) {
      const state = states[card.id];
      found[study.schedule.statusOf(state)] += 1;
      if (state && study.schedule.isDue(state, day)) found.due += 1;
    }
    return found;
  }

  study.deck = { EXERCISES, cardsOf, next, drawn, counts };
})();
