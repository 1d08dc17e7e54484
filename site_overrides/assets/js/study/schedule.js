/*
 * When a card comes back: algorithm SM-2 of P. A. Wozniak, "Optimization of learning", Master's thesis, University of
 * Technology in Poznan, 1990, section 3.2.
 *
 *   interval: I(1) = 1 day, I(2) = 6 days, I(n) = I(n-1) x EF, a fraction rounded up
 *   EF starts at 2.5; after a review EF + (0.1 - (5 - q) (0.08 + (5 - q) 0.02)), at least 1.3
 *   grade q below 3: the repetitions start again from I(1), EF stays
 *   graded below 4: asked again the same day until it gets at least 4, which changes no interval
 *
 * The factor is kept in hundredths, so that every sum is exact. Days are whole numbers since 1970-01-01; the caller
 * says which day it is.
 */
(function () {
  "use strict";
  const benchlore = /** @type {StudyScripts} */ ((window.benchlore = window.benchlore || {}));
  const study = (benchlore.study = benchlore.study || /** @type {StudyParts} */ ({}));

  const FIRST = 1;
  const SECOND = 6;
  const EASE = 250;
  const LEAST_EASE = 130;
  const PASSED = 3;
  const HELD = 4;
  const LONGEST = 36500; // days; keeps a date a date

  /**
   * The state of a card after a review.
   * @param {StudyState | null} before null for a card that was never asked
   * @param {number} grade 0 to 5
   * @param {number} day
   * @returns {StudyState}
   */
  function review(before, grade, day) {
    const old = before || {
      reps: 0,
      ease: EASE,
      interval: 0,
      due: day,
      last: day,
      grade: 0,
      again: false,
      asked: 0,
      wrong: 0,
    };
    const asked = old.asked + 1;
    const wrong = old.wrong + (grade < PASSED ? 1 : 0);
    if (old.again && old.last === day && before)
      return Object.assign({}, old, { again: grade < HELD, asked, wrong });
    const again = grade < HELD;
    if (grade < PASSED) {
      return {
        reps: 0,
        ease: old.ease,
        interval: FIRST,
        due: day + FIRST,
        last: day,
        grade,
        again,
        asked,
        wrong,
      };
    }
    const lack = 5 - grade;
    const ease = Math.max(LEAST_EASE, old.ease + 10 - lack * (8 + lack * 2));
    const reps = old.reps + 1;
    const interval =
      reps === 1 ? FIRST : reps === 2 ? SECOND : Math.min(LONGEST, Math.ceil((old.interval * ease) / 100));
    return { reps, ease, interval, due: day + interval, last: day, grade, again, asked, wrong };
  }

  /**
   * Whether a card is to be asked on a day: its time has come, or it was shaky the same day.
   * @type {(state: StudyState, day: number) => boolean}
   */
  function isDue(state, day) {
    return state.due <= day || (state.again && state.last === day);
  }

  /**
   * What stands on the page: unseen, shaky or known. Known: right, and surely so, twice running.
   * @type {(state: StudyState | undefined) => StudyStatus}
   */
  function statusOf(state) {
    if (!state) return "unseen";
    return state.reps >= 2 && state.grade >= HELD && !state.again ? "known" : "shaky";
  }

  /**
   * The day's number of a date.
   * @param {string} date ISO 8601, `2026-03-01`
   */
  function dayOf(date) {
    return Math.round(Date.parse(date.slice(0, 10) + "T00:00:00Z") / 86400000);
  }

  /**
   * The date of a day's number, ISO 8601.
   * @param {number} day
   */
  function dateOf(day) {
    return new Date(day * 86400000).toISOString().slice(0, 10);
  }

  study.schedule = { PASSED, HELD, review, isDue, statusOf, dayOf, dateOf };
})();
