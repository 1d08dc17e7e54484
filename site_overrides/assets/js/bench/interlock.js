/*
 * What readings prove unsafe: the bench states that they bar, as in tools/benchlore/diagnosis/interlock.py. What an
 * outcome bars comes with the data (`links.interlocks` of a measurement).
 */
(function () {
  "use strict";
  const benchlore = /** @type {BenchScripts} */ ((window.benchlore = window.benchlore || {}));

  /**
   * What an outcome bars; undefined for one after which the board may have power.
   * @type {(family: BenchFamily, measure: string, outcome: string) => BenchInterlock | undefined}
   */
  function of(family, measure, outcome) {
    return family.measurements[measure].links.interlocks[outcome];
  }

  /**
   * The interlocks that stand after some readings, in the order taken. A later reading clears those that it is named for,
   * if none of what it may be bars anything, and no part was unplugged for it that was in before. One that fits no outcome
   * clears none.
   * @type {(readings: readonly BenchSeen[]) => BenchStanding[]}
   */
  function standing(readings) {
    /** @type {BenchStanding[]} */
    let found = [];
    for (const { measure, reading, seen } of readings) {
      const { family } = seen;
      const scale = seen.scales[measure];
      const { outcome } = scale.bands[benchlore.likelihood.classOf(scale, reading)];
      const lock = of(family, measure, outcome);
      if (lock) found.push({ measure, outcome, lock });
      else if (settles(seen, measure, reading)) found = found.filter((one) => !clears(family, measure, one));
    }
    return found;
  }

  /**
   * True for a reading that may be some outcomes, and none that bars anything.
   * @type {(seen: BenchCase, measure: string, reading: BenchReading) => boolean}
   */
  function settles(seen, measure, reading) {
    const { bands } = seen.scales[measure];
    const mayBe = benchlore.verdict.possible(seen, measure, reading);
    return mayBe.length > 0 && mayBe.every((index) => !of(seen.family, measure, bands[index].outcome));
  }

  /** @type {(family: BenchFamily, measure: string, one: BenchStanding) => boolean} */
  function clears(family, measure, one) {
    const before = family.measurements[one.measure].unplugged;
    const out = family.measurements[measure].unplugged;
    return one.lock.clears.includes(measure) && out.every((part) => before.includes(part));
  }

  /**
   * True where an interlock that stands bars a bench state.
   * @type {(found: readonly BenchStanding[], state: string) => boolean}
   */
  function bars(found, state) {
    return found.some((one) => one.lock.states.includes(state));
  }

  /**
   * True where an interlock forbids a fix: its proof brings the power back without asking first whether the trouble is
   * gone; or it injects current, and this was read to check that it may. What is plugged in is tried under power.
   * @param {BenchFamily} family
   * @param {BenchInterlock} lock
   * @param {string} name of a fault or a suspect
   * @param {string} measure that set it
   */
  function shuts(family, lock, name, measure) {
    const fault = family.faults[name];
    if (!fault) return lock.clears.length > 0 && Boolean(family.suspects[name]?.outside);
    if (fault.links.checks.includes(measure)) return true;
    const proof = Object.keys(fault.fix.confirm).filter((id) => id in family.measurements);
    const powers = proof.some((id) => lock.states.includes(family.measurements[id].state));
    return lock.clears.length > 0 && powers && !proof.some((id) => lock.clears.includes(id));
  }

  benchlore.interlock = { of, standing, bars, shuts };
})();
