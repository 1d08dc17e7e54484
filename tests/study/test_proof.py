"""The readings that prove a fix in a simulated job."""

from __future__ import annotations

from tests.study.scripts import run

# The capacitor's fix is proved by the rail's ohms without power, 17.5 to 26.5 kohm, then by its volts.
PROOFS = """
return Array.from({length: 80}, (_, n) => {
    const job = study.job.begin(book, family, deck.meter, "no-power", "s" + n);
    const {entries, stage} = study.job.play(job, deck, [
        {do: "fix", fault: given, action: "", guards: deck.hazards},
        {do: "confirm", measure: "main-rail-ohms"}]);
    return [stage, study.job.mends(job, given), entries[0].readings.map(one => [one.measure,
        one.verdict.kind === "decided" && one.reading.value >= 17500 && one.reading.value <= 26500])];
});
"""


def test_no_board_is_powered_after_a_proof_that_failed_without_power():
    played = run(PROOFS, "siskin-12/main-rail-capacitor-shorted")
    taken = set()
    for stage, mended, ((first, healthy), *more) in played:
        assert stage == "proof", "the job goes on: the trainee judges"
        assert first == "main-rail-ohms"
        assert [measure for measure, _ in more] == (["main-rail-adapter"] if healthy else [])
        assert healthy or not mended
        taken.add((healthy, mended))
    assert {(True, True), (True, False), (False, False)} <= taken
