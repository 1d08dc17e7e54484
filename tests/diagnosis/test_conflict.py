"""Two entries that contradict each other, and two faults at once."""

import random

import pytest

from benchlore.diagnosis.conflict import LEAST, Contradiction, contradictions, of_two, perhaps_both
from benchlore.diagnosis.ohms_law import OVERLOAD, held_together, most_amps
from benchlore.diagnosis.posterior import Evidence, evidence, posterior
from benchlore.diagnosis.rank import planned, rank
from benchlore.diagnosis.reading import Reading, read
from benchlore.diagnosis.simulate import Draw
from tests.books import example
from tests.diagnosis.cases import case

VOLTS, OHMS = "main-rail-pack", "main-rail-ohms"


def taken(typed: list[tuple[str, str]], symptom: str = "no-power") -> Evidence:
    known = case("siskin-12")
    meter, measurements = example().meters[known.meter], example().families["siskin-12"].measurements
    return evidence(known, [symptom], [read(measurements[m], meter, text) for m, text in typed])


def found(*typed: tuple[str, str]) -> tuple[Contradiction, ...]:
    known = taken(list(typed))
    return contradictions(case("siskin-12"), known, posterior(case("siskin-12"), known))


def test_a_rail_that_reads_its_voltage_and_a_short_is_two_entries():
    """8.4 V over 0.4 ohm would be 21 A (Ohm's law), and no adapter or fuse of the board bears that."""
    (one,) = found((VOLTS, "8.40"), (OHMS, "0.4"))
    assert (one.one, one.other) == (VOLTS, OHMS)
    assert set(one.again) == {VOLTS, OHMS}


@pytest.mark.parametrize("typed", [[(VOLTS, "8.40"), (OHMS, "22k")], [(VOLTS, "0.05"), (OHMS, "0.4")]])
def test_entries_of_one_board_do_not_contradict(typed):
    assert found(*typed) == ()


def test_one_of_the_two_is_measured_again_before_anything_else():
    known = taken([(VOLTS, "8.40"), (OHMS, "0.4")])
    first = rank(example(), case("siskin-12"), known).next[0]
    # The rail may be shorted, so that the powered one is barred.
    assert (first.kind, first.id) == ("measure", OHMS)
    tree = planned(example(), case("siskin-12"), known).tree
    assert (tree.kind, tree.id) == ("measure", OHMS)
    assert {branch.outcome for branch in tree.branches} > {"shorted", "normal"}


def test_an_entry_that_was_read_twice_alike_is_not_asked_for_again():
    known = taken([(OHMS, "0.4"), (VOLTS, "8.40"), (OHMS, "0.5")])
    assert known.confirmed == {OHMS}
    (one,) = rank(example(), case("siskin-12"), known).contradictions
    assert one.again == (), "one was confirmed, the other is barred"
    assert taken([(OHMS, "0.4"), (OHMS, "22k")]).confirmed == frozenset()


def test_settled_by_the_second_reading():
    assert found((OHMS, "0.4"), (VOLTS, "8.40"), (OHMS, "22k")) == ()


@pytest.mark.parametrize("family", ["siskin-12", "teal-8"])
def test_readings_of_one_fault_hardly_ever_contradict(family):
    known = case(family)
    draw = Draw(known, random.Random(7))
    said = 0
    for n in range(60):
        hidden = n % known.recorded
        told = sorted(m for m in known.bench.measures if hidden in known.says[m])
        measures = draw.chance.sample(told, min(5, len(told)))
        readings = tuple(draw._of_outcome(known.scales[m], likeliest(known, m, hidden)) for m in measures)
        job = Evidence((), readings)
        said += bool(contradictions(known, job, posterior(known, job)))
    assert said <= 1


def likeliest(known, measure: str, hidden: int) -> int:
    row = known.expected[measure][hidden]
    return max(range(len(row)), key=lambda o: row[o])


def test_the_current_that_there_can_be_is_that_of_the_largest_limit():
    family = example().families["siskin-12"]
    amps = most_amps(family)
    stated = [e.rating.high for net in family.nets.values() for e in net.path if e.rating is not None]
    assert amps >= OVERLOAD * max(stated)
    assert dict(held_together(family))[VOLTS, OHMS] == amps


def test_two_faults_read_healthy_where_both_do_and_abnormal_as_the_one_does():
    """By hand: one reads healthy always, the other is low in four of five."""
    row, unknown = of_two((1.0, 0.0, 0.0), (0.2, 0.8, 0.0), (0,))
    assert row == pytest.approx((0.2, 0.8, 0.0))
    assert unknown == pytest.approx(0)


def test_two_faults_that_make_a_measurement_differ_say_nothing_of_it():
    row, unknown = of_two((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (0,))
    assert row == (0.0, 0.0, 0.0)
    assert unknown == 1.0


def test_a_pair_explains_what_no_single_fault_does():
    known = case("siskin-12")
    pairs = 0
    for f in range(known.recorded):
        for g in range(f + 1, known.recorded):
            job = Evidence((), two_boards(known, f, g))
            if len(job.readings) < 6:
                continue
            named = perhaps_both(known, job)
            if named and {known.faults[f], known.faults[g]} == set(named[0].faults):
                pairs += 1
                assert LEAST <= named[0].probability < 1
                assert sum(one.probability for one in named) < 1
    assert pairs >= 5


def two_boards(known, f: int, g: int) -> tuple[Reading, ...]:
    """What only one of the two makes abnormal, each as it does."""
    found = []
    for m in known.bench.measures:
        normal = known.scales[m].normal
        one, other = likeliest(known, m, f), likeliest(known, m, g)
        if {f, g} <= known.says[m] and (one in normal) != (other in normal):
            band = known.scales[m].bands[other if one in normal else one]
            value = (band.floor + band.ceiling) / 2
            found.append(Reading(m, "", value) if band.read else Reading(m, "", outcome=band.outcome))
    return tuple(found)


def test_one_fault_that_explains_all_is_alone():
    known = taken([(OHMS, "0.4"), (VOLTS, "0.05")])
    assert perhaps_both(case("siskin-12"), known) == ()
