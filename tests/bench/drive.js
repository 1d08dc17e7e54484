/*
 * Works the bench page through its fields and buttons as a board with a given fault would answer: each measurement
 * reads the likeliest outcome that the fault states, or healthy where it says nothing; only a fix that mends it helps.
 */
window.drive = (function () {
  "use strict";
  const MOST_STEPS = 40;

  /** The likeliest outcome that the record states, else that the circuit foretells, else a healthy one. */
  function outcomeOf(fault, measurement, measure) {
    const outcomes = Object.values(measurement.outcomes);
    const family = benchlore.benchFamilies[fault.id.split("/")[0]];
    const known = Object.entries(benchlore.cases.expectedReading(family, fault.id, measure) || {});
    const [likeliest] = known.sort((a, b) => b[1] - a[1]);
    return outcomes.find((outcome) => (likeliest ? outcome.id === likeliest[0] : outcome.normal));
  }

  /** A reading in the middle of an outcome, as typed. */
  function typed(outcome) {
    const range = outcome.range;
    if (range === null) return outcome.id;
    if (range.low === null && range.high === null) return "OL";
    if (range.low === null) return String(range.high > 0 ? range.high / 2 : range.high * 1.5);
    if (range.high === null) return String(range.low > 0 ? range.low * 1.1 : 1);
    return String((range.low + range.high) / 2);
  }

  function fill(id, text) {
    const field = document.getElementById(id);
    field.value = text;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }

  function answer(fault, measurement, measure) {
    const outcome = outcomeOf(fault, measurement, measure);
    if (document.getElementById("reading")) {
      fill("reading", typed(outcome));
      document.getElementById("enter-reading").click();
    } else {
      document.getElementById(`answer-${Object.values(measurement.outcomes).indexOf(outcome) + 1}`).click();
    }
  }

  /** Whether a fix mends the fault: its own, or one that renews its parts. */
  function mends(fault, tried) {
    const { one } = benchlore.desk.state.assessment;
    return (one.bench.mends[one.faults.indexOf(tried)] || []).includes(one.faults.indexOf(fault.id));
  }

  /** The readings of the proof. */
  function prove(fault, family, tried) {
    benchlore.cases.proofMeasures(family, family.faults[tried]).forEach((measure, n) => {
      const measurement = family.measurements[measure];
      const wanted = Object.values(measurement.outcomes).find(
        (one) => one.id === family.faults[tried].fix.confirm[measure],
      );
      const outcome = mends(fault, tried) ? wanted : outcomeOf(fault, measurement, measure);
      if (measurement.links.unit !== null) fill(`proof-${n + 1}`, typed(outcome));
      else
        document
          .getElementById(`proof-${n + 1}-${Object.values(measurement.outcomes).indexOf(outcome) + 1}`)
          .click();
    });
  }

  /** The fix on the card with the proof that the board gives. */
  function mend(fault, family, tried) {
    // What is only suspected, or plugged in, is proved by the symptom alone.
    if (family.faults[tried]) prove(fault, family, tried);
    document.getElementById(mends(fault, tried) ? "symptom-gone" : "symptom-still").click();
    document.getElementById("enter-proof").click();
  }

  /** What it took: whether a fix mended the fault, the one that the page holds likeliest, minutes, and the path. */
  function end(fault, path, minutes) {
    const job = benchlore.bench.present();
    const { ranking } = benchlore.assess.assess(
      benchlore.benchBook,
      benchlore.benchFamilies[job.family],
      job,
    );
    return {
      mended: mends(fault, benchlore.job.outcome(job).fault),
      likeliest: ranking[0].id,
      minutes,
      path,
    };
  }

  return async function (familyId, faultId, pause) {
    const path = [];
    let minutes = 0;
    const family = benchlore.benchFamilies[familyId];
    const fault = family.faults[faultId];
    for (let step = 0; step < MOST_STEPS; step += 1) {
      const card = document.getElementById("next");
      const { kind, id } = card.dataset;
      if (kind === "closed") return end(fault, path, minutes);
      if (kind === "escalate")
        return end(fault, [...path, "escalate"], minutes + benchlore.benchBook.shop.escalate.minutes);
      minutes += benchlore.bench.next().minutes;
      path.push(id);
      const before = benchlore.bench.present().entries.length;
      if (pause) await new Promise((done) => setTimeout(done, pause));
      if (kind === "fix") mend(fault, family, id);
      else answer(fault, family.measurements[id], id);
      if (benchlore.bench.present().entries.length === before) {
        const said = [...document.querySelectorAll(".refusal:not([hidden])")].map((one) => one.textContent);
        return end(fault, [...path, `refused: ${said.join("; ")}`], minutes);
      }
    }
    return end(fault, [...path, "too many steps"], minutes);
  };
})();
