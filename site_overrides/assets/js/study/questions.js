/*
 * What a card asks with a seed, and what an answer is worth. Each kind of card is an exercise of its own in
 * `exercises/`, which adds itself to `study.exercises`.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));

  /** @type {Record<string, StudyCardExercise>} */
  const exercises = {};

  /**
   * What a card asks.
   * @type {(context: StudyContext, card: StudyCard, seed: string) => StudyQuestion}
   */
  function ask(context, card, seed) {
    const chance = study.random.stream(seed, card.id);
    const measure = /** @type {string} */ (card.measure);
    /** @type {StudyQuestion} */
    const bare = { card, measure, ranges: [], reading: null, doubt: false, outcomes: [], faults: [] };
    return Object.assign(bare, exercises[card.kind].ask(context, card, chance));
  }

  /**
   * What an answer is worth, part by part.
   * @type {(context: StudyContext, question: StudyQuestion, answer: StudyAnswer) => StudyMarked}
   */
  function mark(context, question, answer) {
    const parts = exercises[question.card.kind].mark(context, question, answer);
    const right = !answer.unknown && parts.every((part) => part.right);
    return { parts, right, grade: gradeOf(answer, parts) };
  }

  /**
   * The grade of SM-2. Right: 5 sure, 4 fairly sure, 3 a guess. Wrong: 2 with a part right, 1 with none, 0 "I don't know".
   * @type {(answer: StudyAnswer, parts: readonly StudyPart[]) => number}
   */
  function gradeOf(answer, parts) {
    if (answer.unknown) return 0;
    if (parts.every((part) => part.right)) return { sure: 5, fairly: 4, guess: 3 }[answer.sure];
    return parts.some((part) => part.right) ? 2 : 1;
  }

  study.exercises = exercises;
  study.questions = { ask, mark };
})();
