"""What the evidence of a job says, on the real book."""

import pytest

from benchlore.circuit.power_tree import level
from benchlore.diagnosis.posterior import evidence
from benchlore.diagnosis.rank import Ranking, rank, stands
from benchlore.diagnosis.reading import Reading, read
from tests.books import example
from tests.diagnosis.cases import case

FAULTS = sorted(example().faults.values(), key=lambda f: f.id)


def ranking(family: str, symptoms: list[str], typed: dict[str, str], tried: tuple[str, ...] = ()) -> Ranking:
    known = case(family)
    meter = example().meters[known.meter]
    measurements = example().families[family].measurements
    readings = [read(measurements[m], meter, text) for m, text in typed.items()]
    return rank(example(), known, evidence(known, symptoms, readings, tried))


@pytest.mark.parametrize("fault", FAULTS, ids=lambda f: f.id)
def test_worked_example_ranks_its_fault_first(fault):
    """What is outside the board is tried in a minute and without heat: it alone may stand before."""
    symptoms = [s for s, frequency in fault.symptom.items() if frequency != "sometimes"]
    found = ranking(fault.family, symptoms, dict(fault.worked_example))
    outside = {name for name, suspect in case(fault.family).suspects.items() if suspect.outside}
    on_board = [f for f in found.faults if f.id not in outside]
    assert on_board[0].id == fault.id
    assert on_board[0].probability > 0.5 * sum(f.probability for f in on_board)
    assert found.explained


def test_probabilities_and_not_in_the_book_sum_to_one():
    found = ranking("siskin-12", ["pack-not-seen"], {"main-rail-adapter": "7.92"})
    assert sum(f.probability for f in found.faults) + found.not_in_book == pytest.approx(1)
    minutes = [a.expected for a in found.next]
    assert minutes == pytest.approx(sorted(minutes))


def test_every_fault_ruled_out_is_said_with_the_readings_that_clash():
    found = ranking(
        "siskin-12", ["pack-not-seen"], {"main-rail-adapter": "7.92"}, tuple(case("siskin-12").faults)
    )
    assert found.not_in_book == 1
    assert not found.explained
    assert all(f.probability == 0 for f in found.faults)
    assert found.next[0].kind in ("measure", "escalate")


def test_readings_that_no_fault_explains_are_named():
    """Everything reads far too high: no fault of the book does that."""
    typed = {"main-rail-adapter": "12.6", "standby-volts": "5.0", "pack-data-volts": "5.0"}
    found = ranking("siskin-12", ["pack-not-seen"], typed)
    assert not found.explained
    assert found.not_in_book > 0.5
    assert set(found.clashes) == set(typed)


def test_failed_fix_puts_its_fault_out_and_lifts_the_others():
    before = ranking("siskin-12", ["pack-not-seen"], {"main-rail-adapter": "7.92"})
    top = before.faults[0].id
    after = ranking("siskin-12", ["pack-not-seen"], {"main-rail-adapter": "7.92"}, (top,))
    chances = {f.id: f.probability for f in after.faults}
    assert top == "siskin-12/pen-bay-holds-pack-data-low"
    out = {top, "siskin-12/~e7"}  # the same pen bay
    assert {name for name, chance in chances.items() if chance == 0} == out
    for fault in before.faults:
        assert fault.id in out or chances[fault.id] >= fault.probability


def test_a_reading_that_stops_leaves_no_live_measurement_next():
    """The data line stands at a higher rail: the bench counts as bare, and nothing asks for power."""
    known = case("siskin-12")
    seen = evidence(known, ["pack-not-seen"], [Reading("pack-data-volts", "7.92", 7.92)])
    found = rank(example(), known, seen)
    assert [one.measure for one in found.interlocks] == ["pack-data-volts"]
    assert stands(example(), known, seen) == 0
    family = example().families["siskin-12"]
    asked = [action.id for action in found.next if action.kind == "measure"]
    assert asked
    assert not [m for m in asked if example().states[family.measurements[m].state].sources]


def test_the_same_point_read_healthy_again_lifts_the_stop():
    found = ranking("siskin-12", ["pack-not-seen"], {"pack-data-volts": "3.05"})
    assert found.interlocks == ()
    family = example().families["siskin-12"]
    assert any(
        example().states[family.measurements[a.id].state].sources for a in found.next if a.kind == "measure"
    )


@pytest.mark.parametrize("family", sorted(example().families))
def test_without_a_symptom_it_goes_down_the_rails_until_one_reads_wrong(family):
    """Ohms of the supply rails first, for nobody knows whether the board may have a source; then volts, in
    start order. Something that reads wrong ends it."""
    known, record = case(family), example().families[family]
    down = [known.bench.measures[m] for m in known.bench.down]
    levels = [level(record, record.nets[record.measurements[m].net]) for m in down]
    ohms = [m for m in down if record.measurements[m].mode == "ohms"]
    assert down[: len(ohms)] == ohms
    assert levels[: len(ohms)] == sorted(levels[: len(ohms)])
    assert levels[len(ohms) :] == sorted(levels[len(ohms) :])
    taken: dict[str, str] = {}
    for measure in down:
        action = ranking(family, [], taken).next[0]
        assert (action.kind, action.id) == ("measure", measure)
        taken[measure] = next(o.id for o in record.measurements[measure].outcomes.values() if o.normal)
    taken[down[-1]] = next(o.id for o in record.measurements[down[-1]].outcomes.values() if not o.normal)
    found = ranking(family, [], taken)
    assert found.not_in_book < 0.5
    assert found.next[0].id not in down


def test_a_board_of_which_a_live_reading_is_known_needs_no_ohms_first():
    found = ranking("siskin-12", [], {"main-rail-adapter": "7.92 V"})
    assert any(a.kind == "measure" and "ohms" not in a.id for a in found.next)
    assert found.next[0].kind == "measure"


def test_after_a_fix_that_failed_nothing_is_set_up() -> None:
    """The symptom was looked for with everything plugged in: who takes a bare bench for set up measures with
    the pack in."""
    known = case("siskin-12")
    readings = [Reading("main-rail-adapter", "7.92", 7.92)]
    before = evidence(known, ["pack-not-seen"], readings)
    assert stands(example(), known, before) != 0
    tried = rank(example(), known, before).faults[0].id
    after = evidence(known, ["pack-not-seen"], readings, (tried,), tried_last=True)
    assert stands(example(), known, after) == 0
    again = evidence(known, ["pack-not-seen"], readings, (tried,))
    assert stands(example(), known, again) == stands(example(), known, before)
