"""What small functions of the model give at their corners, by hand: priors, rows, minutes, meters, locks."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from benchlore.book.model import MeterRange, Outcome, Part, frozen_map
from benchlore.circuit.graph.mode_shares import mode_shares
from benchlore.diagnosis import hypotheses
from benchlore.diagnosis import plan as plans
from benchlore.diagnosis.boards import Board, _ways_of
from benchlore.diagnosis.case import (
    CaseError,
    checked_by,
    closed_by,
    down_the_rails,
    make_case,
    plan_table,
    shut_by,
)
from benchlore.diagnosis.conflict import _blunder, perhaps_both
from benchlore.diagnosis.hypotheses import priors, reachable
from benchlore.diagnosis.interlock import Interlock, interlock, locks_of, reached, shuts, standing
from benchlore.diagnosis.likelihood import ELSEWHERE, Band, elsewhere_by_way, scale_of
from benchlore.diagnosis.lookahead import (
    Choice,
    Place,
    after_failed_fix,
    after_outcome,
    best_ratio,
    choices,
    in_rank,
    locked_after,
    look_at,
    stands_after,
    start,
)
from benchlore.diagnosis.meter import MOST_APART, compared, ratio_uncertainty
from benchlore.diagnosis.minutes import (
    NOTHING,
    Setup,
    is_hot,
    part_minutes,
    proof_minutes,
    ratio_order,
    setup_of,
    skill_of,
    tie_key,
)
from benchlore.diagnosis.posterior import Evidence, evidence
from benchlore.diagnosis.rank import place as place_of
from benchlore.diagnosis.reading import Reading
from benchlore.diagnosis.suspects import Suspect, suspects_of
from benchlore.diagnosis.verdict import _beside, _far, verdict
from benchlore.quantity import parse_quantity
from tests.books import example
from tests.circuit.books import FAMILY, good
from tests.diagnosis.benches import random_bench
from tests.diagnosis.cases import case
from tests.diagnosis.test_conflict_plain import BAD, OK, saw, small
from tests.diagnosis.test_scale import METER, THREE, measuring

BOOK = good()
WREN = BOOK.families[FAMILY]
FUSE = BOOK.faults["wren-5/fuse-open"]
SHORT = BOOK.faults["wren-5/rail-short"]
VOLTS = WREN.measurements["main-rail"]


# Priors and rows.


@pytest.mark.parametrize(
    ("seen", "expected"),
    [
        ([], (1.0,)),
        ([0], (0.7, 0.3)),
        ([1], (0.7, 0.3)),  # one of one job was seen once: at most 0.3
        ([9], (0.935, 0.065)),  # none: at least 0.065
        # Two of twelve jobs were seen once; of the rest by seen + 1/2 of 12 + 3/2.
        ([1, 10, 1], (5 / 6 * 1.5 / 13.5, 5 / 6 * 10.5 / 13.5, 5 / 6 * 1.5 / 13.5, 1 / 6)),
        ([0, 2, 8], (0.935 * 0.5 / 11.5, 0.935 * 2.5 / 11.5, 0.935 * 8.5 / 11.5, 0.065)),
    ],
)
def test_priors_by_hand(seen, expected) -> None:
    assert priors(seen) == pytest.approx(expected)


def test_a_measurement_is_reachable_where_its_points_are() -> None:
    one = next(iter(VOLTS.points))
    there = replace(WREN.test_points[one], at=frozen_map({"A": (1.0, 1.0)}))
    family = replace(WREN, test_points=frozen_map({**WREN.test_points, one: there}))
    assert [reachable(family, VOLTS.id, r) for r in (None, "A", "B")] == [True, True, False]
    gone = replace(WREN, test_points=frozen_map({n: p for n, p in WREN.test_points.items() if n != one}))
    assert reachable(gone, VOLTS.id, "B"), "another rule tells of the name"


MANY = measuring(low="under 1 V", normal="3 to 5 V", high="over 8 V")
TWO = replace(MANY, outcomes={**MANY.outcomes, "high": replace(MANY.outcomes["high"], normal=True)})
NONE = replace(MANY, outcomes={n: replace(o, normal=False) for n, o in MANY.outcomes.items()})


@pytest.mark.parametrize(
    ("shares", "row"),
    [
        ({"low": 1.0}, (1.0, 0.0, 0.0)),
        ({"low": 1.0, "high": 3.0}, (0.25, 0.0, 0.75)),
        ({"low": 1.0, "elsewhere": 3.0}, (1.0, 0.0, 0.0)),
        ({"low": 1.0, "normal": 1.0, "high": 1.0}, (0.333333333,) * 3),  # to nine digits
        ({"elsewhere": 1.0}, None),
        ({}, None),
        (None, None),
    ],
)
def test_shares_become_a_row_that_sums_to_one(shares, row) -> None:
    assert hypotheses._row(MANY, shares) == row


@pytest.mark.parametrize(
    ("measurement", "quiet"),
    [
        (MANY, (0.1 / 3, 0.9 + 0.1 / 3, 0.1 / 3)),  # 0.9 healthy, and a third of 0.1 for each
        (TWO, (0.1 / 3, 0.45 + 0.1 / 3, 0.45 + 0.1 / 3)),  # half of 0.9 for each of the two that are healthy
        (NONE, (1 / 3, 1 / 3, 1 / 3)),
    ],
)
def test_what_a_silent_hypothesis_reads(measurement, quiet) -> None:
    """As the recorded faults, by how much it is like them: 0.2, 0.4 and 0.3 of 0.9 for one that is recorded,
    the last one alone for one that is like it. Of those that are silent, too, most is healthy."""
    low, high = (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)
    said, weights = [low, None, high, None, low], (0.2, 0.4, 0.3)
    silent = hypotheses._silent(measurement, said[:3], [weights] * 4 + [(0.0, 0.0, 0.3)], [False] * 5)
    mixed = [(0.2 * a + 0.3 * b + 0.4 * c) / 0.9 for a, b, c in zip(low, high, quiet, strict=True)]
    assert [*silent[:4]] == [pytest.approx(mixed, abs=1e-9)] * 4
    assert silent[4] == high
    found = hypotheses._rows(measurement, said, [False, False], silent)
    assert found[0] == low
    assert found[2] == high
    assert found[1] == found[3] == pytest.approx(mixed, abs=1e-9)
    # Of a suspect nine parts of ten are as foretold, of what is amiss 0.1 of these in any other way.
    wrong = [o not in measurement.normal for o in measurement.outcomes]
    near = [0.9 * p + 0.1 * one / sum(wrong) for p, one in zip(low, wrong, strict=True)]
    assert found[4] == pytest.approx([0.9 * p + 0.1 * q for p, q in zip(near, high, strict=True)], abs=2e-9)
    for weight in (0.9, 0.0):
        (alone,) = hypotheses._silent(measurement, [None], [(weight,)], [False])
        assert alone == pytest.approx(quiet, abs=1e-9), "nothing is known of any"


def test_a_look_at_a_part_reads_healthy_with_a_fault_of_another() -> None:
    """What the records read there is of the part; of another's, 0.4 x 0.3 reads anything: a third each."""
    low = (1.0, 0.0, 0.0)
    mixed, other = hypotheses._silent(MANY, [low, None], [(0.2, 0.4)] * 2, [False, True])
    assert other == pytest.approx((0.04, 0.92, 0.04))
    quiet = (0.1 / 3, 0.9 + 0.1 / 3, 0.1 / 3)
    assert mixed == pytest.approx([(0.2 * a + 0.4 * b) / 0.6 for a, b in zip(low, quiet, strict=True)])
    rows = hypotheses._rows(MANY, [low, None, None], [False], [mixed, other, mixed])
    assert rows == [low, other, mixed]


@pytest.mark.parametrize("outcomes", [3, 4, 5, 6])
def test_what_is_amiss_in_another_way_than_foretold_speaks_for_no_hot_fix(outcomes) -> None:
    """Even where a quarter of what is silent reads so, it stays less likely than with something else, of
    which three of ten read anything, nine parts of ten of these in the outcomes alike."""
    one = next(iter(MANY.outcomes.values()))
    names = ["normal", "low", *(f"o{n}" for n in range(outcomes - 2))]
    many = replace(MANY, outcomes={n: replace(one, id=n, normal=n == "normal") for n in names})
    silent = tuple(0.75 * (n == "normal") + 0.25 * (n == "o0") for n in names)
    row = hypotheses._trusted(many, tuple(float(n == "low") for n in names), silent)
    assert row[1] > 0.3 / outcomes
    assert row[2] < 0.9 * 0.3 / outcomes


def test_a_suspect_takes_after_the_faults_that_read_like_it() -> None:
    """A quarter of an average fault goes to all alike: 0.25 x 0.9 / 3, shared as the priors are."""
    found = hypotheses._weights_alike((0.2, 0.4, 0.3, 0.1), (0.0, 1.0, 0.5))
    least = 0.25 * 0.9 / 3
    assert found == pytest.approx((least * 0.2 / 0.9, 0.4 + least * 0.4 / 0.9, 0.15 + least * 0.3 / 0.9))
    assert hypotheses._weights_alike((1.0,), ()) == ()


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        ({}, {}, 0.0),
        ({("a", 0): 1.0}, {}, 0.0),
        ({("a", 0): 1.0}, {("a", 0): 1.0}, 1.0),
        ({("a", 0): 1.0}, {("a", 1): 1.0}, 0.0),
        ({("a", 0): 1.0}, {("a", 0): 0.5}, 0.5),
        ({("a", 0): 0.4, ("b", 0): 0.6}, {("a", 0): 0.8}, 0.4 / 1.4),
    ],
)
def test_what_two_read_abnormally_in_common(one, other, alike) -> None:
    """Jaccard's index, weighted: what both read over what either does."""
    assert hypotheses._alike(one, other) == hypotheses._alike(other, one) == pytest.approx(alike)


def test_ways_that_nobody_tells_apart_read_as_the_record_says() -> None:
    whole = (0.7, 0.3)
    assert hypotheses._fitted(whole, (0.6, 0.4), ((0.9, 0.1), None)) == [whole, whole]
    assert hypotheses._fitted(whole, (0.6, 0.4), ((0.9, 0.1), (0.9, 0.1))) == [whole, whole]
    # What the record never reads no way does.
    rows = hypotheses._fitted((1.0, 0.0), (0.6, 0.4), ((0.9, 0.1), (0.1, 0.9)))
    assert list(rows) == [(1.0, 0.0), (1.0, 0.0)]


def test_abnormal_outcomes_that_are_known() -> None:
    said: dict[str, Any] = {"a": [(0.2, 0.5, 0.3), None], "b": [(0.0, 1.0, 0.0), (1.0, 0.0, 0.0)]}
    measures = {"a": MANY, "b": MANY}
    assert hypotheses._abnormal(measures, said, 0) == {("a", 0): 0.2, ("a", 2): 0.3}
    assert hypotheses._abnormal(measures, said, 1) == {("b", 0): 1.0}


def outside(**reads: Any) -> Suspect:
    return Suspect("x", "X", (), "pack", 0.0, frozen_map(reads), 1.0, hot=False)


def test_what_is_outside_reads_healthy_on_half_of_the_boards() -> None:
    """On half of its boards it leaves all healthy; on the others 0.2 healthy and 0.8 low are foretold."""
    silent = (0.2, 0.5, 0.3)
    said = [silent, (0.4, 0.6, 0.0), None]
    foretold, nothing = hypotheses._rows(MANY, said, [True, True], [silent] * 3)[1:]
    # Of the 0.4 that is amiss 0.04 is so in either way.
    assert foretold == pytest.approx((0.9 * 0.38 + 0.01, 0.9 * 0.6 + 0.05 + 0.025, 0.9 * 0.02 + 0.015))
    assert nothing == pytest.approx((0.1, 0.5 + 0.25, 0.15))
    rows = {"m": [silent, foretold], "silent": [silent, nothing], "none": [silent, foretold]}
    measures = {"m": MANY, "silent": MANY, "none": NONE}
    unknown = {m: [silent, silent] for m in measures}
    (first, sound), (second, bare) = hypotheses._ways_outside(measures, outside(), 1, rows, unknown)
    assert (first, second) == (0.5, 0.5)
    assert sound["m"] == sound["silent"] == (0.0, 1.0, 0.0)
    assert bare["m"] == pytest.approx((0.9 * 0.76 + 0.02, 0.9 * 0.2 + 0.05, 0.9 * 0.04 + 0.03))
    assert bare["silent"] == pytest.approx(silent)
    assert sound["none"] == bare["none"] == pytest.approx(foretold)
    assert hypotheses._ways_outside(measures, replace(outside(), outside=""), 1, rows, unknown) == []


def test_what_is_outside_fails_in_one_of_its_ways() -> None:
    """Nine parts of ten of each are as foretold; of one that is not foretold, nothing is known."""
    silent, low, high = (0.2, 0.5, 0.3), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)
    apart: Any = ((0.75, {"m": dict(zip(MANY.outcomes, low, strict=True))}), (0.25, {}))
    one = replace(outside(), apart=apart)
    rows, measures = {"m": [silent], "other": [silent]}, {"m": MANY, "other": MANY}
    found = hypotheses._ways_outside(measures, one, 0, rows, {m: [high] for m in measures})
    assert [share for share, _ in found] == [0.5, 0.375, 0.125]
    assert [way["m"] for _, way in found] == [(0.0, 1.0, 0.0), pytest.approx((0.855, 0.0, 0.145)), high]
    assert found[1][1]["other"] == found[2][1]["other"] == pytest.approx((0.4, 0.0, 0.6))
    assert hypotheses._together(found, "m") == pytest.approx((0.320625, 0.5, 0.179375))


def test_only_hypotheses_whose_ways_read_differently_are_split() -> None:
    alike, other = {"m": (1.0, 0.0)}, {"m": (0.0, 1.0)}
    known = [[(0.5, alike), (0.5, alike)], [], [(0.3, alike), (0.7, other)], [(1.0, other)]]
    split, rows = hypotheses._split({"m": MANY}, known)
    assert split == ((2, 0.3), (2, 0.7))
    assert rows == {"m": ((1.0, 0.0), (0.0, 1.0))}


# Minutes.


@pytest.mark.parametrize(
    ("value", "step", "steps"),
    [
        (2.4, 1.0, 2.0),
        (2.5, 1.0, 3.0),
        (0.0, 1.0, 0.0),
        (0.49, 1.0, 0.0),
        (1.0, 0.25, 4.0),
        (3e-9, 1e-9, 3.0),
    ],
)
def test_a_value_in_whole_steps(value, step, steps) -> None:
    assert tie_key(value, step) == steps
    assert tie_key(1.0) == 1e9


@pytest.mark.parametrize(
    ("weights", "minutes", "escalate", "spent", "order"),
    [
        ((0.5, 0.3, 0.2), (10.0, 10.0), 100.0, 10 + 0.5 * 10 + 0.2 * 100, (0, 1)),
        ((0.3, 0.5, 0.2), (10.0, 10.0), 100.0, 10 + 0.5 * 10 + 0.2 * 100, (1, 0)),
        ((0.4, 0.4, 0.2), (10.0, 10.0), 100.0, 10 + 0.6 * 10 + 0.2 * 100, (0, 1)),  # of equals the first
        ((0.5, 0.3, 0.2), (30.0, 10.0), 100.0, 10 + 0.7 * 30 + 0.2 * 100, (1, 0)),
        ((0.5, 0.3, 0.2), (10.0, 200.0), 100.0, 10 + 0.5 * 100, (0,)),
        ((0.5, 0.0, 0.5), (10.0, 1.0), 100.0, 10 + 0.5 * 100, (0,)),  # nobody tries what it cannot be
        ((0.1, 0.1, 0.8), (50.0, 50.0), 100.0, 100.0, ()),
        ((0.5, 0.5), (100.0,), 200.0, 200.0, ()),  # no better than to escalate at once
        ((1.0,), (), 100.0, 100.0, ()),
        ((1.0, 0.6, 0.4), (10.0, 10.0), 100.0, 2 * 10 + 1.0 * 10 + 0.4 * 100, (0, 1)),  # they sum to two
    ],
)
def test_the_best_order_of_fixes_by_hand(weights, minutes, escalate, spent, order) -> None:
    found, kept = ratio_order(weights, minutes, escalate)
    assert found == pytest.approx(spent)
    assert kept == order


def test_the_set_up_of_a_measurement() -> None:
    out = replace(VOLTS, unplugged=("J1",))
    family = replace(WREN, measurements=frozen_map({**WREN.measurements, "main-rail": out}))
    assert setup_of(family, "main-rail") == Setup("adapter-only", frozenset({"J1"}))
    assert Setup(None, frozenset()) == NOTHING


def skilled(name: str, skill: str) -> Part:
    part = WREN.parts[name]
    return replace(part, replace=replace(part.replace, skill=skill))


@pytest.mark.parametrize(
    ("action", "used", "skills", "skill"),
    [
        ("replace", ("F1",), {"F1": "hot-air"}, "hot-air"),
        ("replace", ("F1", "C1"), {"F1": "iron", "C1": "hot-air"}, "hot-air"),
        ("replace", ("C1", "F1"), {"F1": "hot-air", "C1": "bga"}, "bga"),
        ("replace", (), {"F1": "bga"}, "bga"),  # that of the part at fault
        ("replace", ("NOBODY",), {}, "iron"),
        ("replace", ("F1",), {"F1": "none"}, "none"),
        ("clean", ("F1",), {"F1": "bga"}, "none"),
    ],
)
def test_the_skill_that_a_fix_asks_for(action, used, skills, skill) -> None:
    parts = {**WREN.parts, **{name: skilled(name, s) for name, s in skills.items()}}
    book = replace(BOOK, families=frozen_map({FAMILY: replace(WREN, parts=frozen_map(parts))}))
    use = FUSE.fix.steps[-1].replace or FUSE.fix.parts
    work = replace(FUSE.fix.steps[-1], replace=tuple(replace(use[0], part=name) for name in used), fit=())
    fault = replace(FUSE, fix=replace(FUSE.fix, action=action, steps=(work,)))
    assert fault.cause.part == "F1"
    assert [u.part for u in fault.fix.parts] == list(used)
    assert skill_of(book, fault) == skill
    assert is_hot(book, fault) is (skill != "none")


def test_a_part_costs_its_price_at_the_labour_rate_unless_it_is_plugged_in() -> None:
    shop = replace(BOOK.shop, labour_rate=30.0)
    part = WREN.parts["C1"]
    priced = replace(part, replace=replace(part.replace, price=2.0))
    assert part_minutes(shop, priced) == pytest.approx(4.0)
    assert part_minutes(shop, replace(priced, replace=replace(part.replace, price=None))) == 0.0
    assert part_minutes(shop, replace(priced, kind="pack")) == 0.0


# The meter, of two readings.


def made(up_to: str, resolution: str, reading: float = 0.5, counts: int = 3) -> MeterRange:
    return MeterRange(
        up_to=parse_quantity(up_to), resolution=parse_quantity(resolution), reading=reading, counts=counts
    )


RANGES = (made("2 V", "1 mV"), made("20 V", "10 mV"))


def test_of_two_readings_on_one_range_the_counts_alone_count() -> None:
    """Three counts of 10 mV, rectangular, of 10 V and of 5 V; on two ranges the percent as well."""
    counts = 0.03 / math.sqrt(3)
    same = 100 * 2 * math.hypot(counts / 10, counts / 5)
    assert ratio_uncertainty(RANGES, 10.0, 5.0) == pytest.approx(same)
    assert ratio_uncertainty(RANGES, -10.0, 5.0) == pytest.approx(same)
    upper, lower = (0.005 * 10 + 0.03) / math.sqrt(3), (0.005 * 1 + 0.003) / math.sqrt(3)
    apart = 100 * 10 * math.hypot(upper / 10, lower / 1)
    assert ratio_uncertainty(RANGES, 10.0, 1.0) == pytest.approx(apart)


def test_of_two_readings_without_counts_the_last_digit_is_left() -> None:
    """Half a digit of 10 mV, rectangular; of nothing, against a digit."""
    exact = (made("20 V", "10 mV", 0.5, 0),)
    digit = 0.005 / math.sqrt(3)
    assert ratio_uncertainty(exact, 10.0, 5.0) == pytest.approx(100 * 2 * math.hypot(digit / 10, digit / 5))
    assert ratio_uncertainty(exact, 0.0, 5.0) == pytest.approx(1e-15)
    assert ratio_uncertainty(exact, 0.001, 5.0) == pytest.approx(
        100 * 0.0002 * math.hypot(digit / 0.01, digit / 5)
    )


@pytest.mark.parametrize(
    ("ranges", "counts"),
    [
        (RANGES, 5),  # 0.3 %: 0.42 % of two
        ((made("20 V", "10 mV", counts=0),), 1),  # at least one
        ((made("20 V", "10 mV"), made("2 V", "1 mV", counts=1)), 2),  # the best range: 0.1 %
        ((made("20 V", "100 mV", counts=5),), 71),
    ],
)
def test_the_one_range_of_a_comparison(ranges, counts) -> None:
    (found,) = compared(ranges)
    assert (found.counts, found.reading, found.up_to.middle, found.resolution.middle) == (
        counts,
        0,
        1000,
        0.1,
    )
    assert found.up_to.middle == MOST_APART


def test_each_way_of_something_else_has_its_own_share_of_healthy_readings() -> None:
    scale = scale_of(THREE, METER)
    assert elsewhere_by_way(scale, (0.1, 0.5, 0.2), 0.3) == pytest.approx(
        [0.9 * 0.5 + 0.1 * 0.3, 0.3 * 0.5 + 0.7 * 0.3]
    )
    assert [share for share, _ in ELSEWHERE] == pytest.approx([2 / 3, 1 / 3])


# Interlocks.


def outcome(**changed: Any) -> Outcome:
    return replace(VOLTS.outcomes["low"], **{"stop": False, "bars": (), "means": "So.", **changed})


def test_what_an_outcome_bars() -> None:
    assert interlock(WREN, VOLTS, outcome()) is None
    every = tuple(s.id for s in WREN.bench_states if s.sources)
    assert len(every) > 1
    assert interlock(WREN, VOLTS, outcome(stop=True)) == Interlock(every, "So.")
    barred = tuple(s.id for s in WREN.bench_states if "pack" in s.sources)
    assert interlock(WREN, VOLTS, outcome(bars=("pack",))) == Interlock(barred, "So.", ("main-rail",))
    assert interlock(WREN, VOLTS, outcome(stop=True, bars=("pack",))) == Interlock(every, "So.")


def test_a_rail_that_reads_shorted_bars_what_brings_power_to_it_and_a_line_nothing() -> None:
    ohms = replace(WREN.measurements["main-junction"], id="main-ohms", mode="ohms")
    short = outcome(range=parse_quantity("0 to 1 ohm"))
    family = replace(WREN, measurements=frozen_map({**WREN.measurements, "main-ohms": ohms}))
    found = interlock(family, ohms, short)
    assert found is not None
    assert found.states == tuple(s.id for s in WREN.bench_states if s.sources)
    assert found.clears == ("main-ohms",)
    assert found.why.startswith("MAIN is shorted to ground")
    assert interlock(family, replace(ohms, net="SDA"), short) is None
    assert interlock(family, replace(ohms, net="NOWHERE"), short) is None
    assert dict(locks_of(family, ["main-ohms"])) == {
        ("main-ohms", o.id): lock for o in ohms.outcomes.values() if (lock := interlock(family, ohms, o))
    }


@pytest.mark.parametrize(
    ("rail", "sources", "there"),
    [
        # VIN feeds FUSED, FUSED and PACK feed MAIN; a switch may conduct backwards.
        ("MAIN", ("adapter",), True),
        ("MAIN", ("pack",), True),
        ("VIN", ("pack",), True),
        ("PACK", ("adapter",), True),
        ("MAIN", ("charger",), True),  # nobody says where that enters
        ("ALONE", ("adapter",), True),  # nobody says what feeds it
        ("APART", ("adapter",), False),
        ("APART", ("dock",), True),
        ("APART", ("adapter", "dock"), True),
    ],
)
def test_which_sources_can_reach_a_rail(rail, sources, there) -> None:
    vin = WREN.nets["VIN"]
    (source,) = vin.source
    alone = replace(vin, id="ALONE", source=())
    apart = replace(vin, id="APART", source=(replace(source, from_="dock"),))
    family = replace(WREN, nets=frozen_map({**WREN.nets, "ALONE": alone, "APART": apart}))
    state = replace(WREN.bench_states[0], sources=sources)
    assert reached(family, family.nets[rail], state) is there


LOCK = Interlock(("adapter-only",), "So.", ("a", "b"))


@pytest.mark.parametrize(
    ("taken", "left"),
    [
        ([("a", "bad", ["bad"])], ["a"]),
        ([("a", "bad", ["bad"]), ("b", "good", ["good"])], []),
        ([("a", "bad", ["bad"]), ("c", "good", ["good"])], ["a"]),
        ([("b", "good", ["good"]), ("a", "bad", ["bad"])], ["a"]),
        ([("a", "bad", ["bad"]), ("b", "bad", ["bad"])], ["a", "b"]),
        ([("a", "bad", ["bad"]), ("b", "bad", ["bad"]), ("a", "good", ["good"])], []),
        ([("a", "bad", ["bad"]), ("b", "good", ["good", "bad"])], ["a"]),
        ([("a", "bad", ["bad"]), ("b", "good", ["good", "low"])], []),
        ([("a", "bad", ["bad"]), ("b", "good", [])], ["a"]),
    ],
)
def test_which_interlocks_stand(taken, left) -> None:
    """Of each reading the outcome that it is taken for, and those that it may be."""
    measured = {name: replace(VOLTS, id=name, unplugged=()) for name in "abc"}
    family = replace(WREN, measurements=frozen_map(measured))
    locks = {(name, "bad"): LOCK for name in "ab"}
    assert [one.measure for one in standing(family, taken, locks)] == left


def test_with_a_part_out_that_was_in_before_nothing_is_cleared() -> None:
    measured = {name: replace(VOLTS, id=name, unplugged=("J1",) if name == "b" else ()) for name in "ab"}
    family = replace(WREN, measurements=frozen_map(measured))
    locks = {(name, "bad"): LOCK for name in "ab"}
    assert [
        one.measure for one in standing(family, [("a", "bad", ["bad"]), ("b", "good", ["good"])], locks)
    ] == ["a"]
    assert standing(family, [("b", "bad", ["bad"]), ("a", "good", ["good"])], locks) == ()


@pytest.mark.parametrize(
    ("clears", "proof", "shut"),
    [
        (("a",), [("m", "adapter-only")], True),
        (("a",), [("a", "all-off"), ("m", "adapter-only")], False),
        (("a",), [("m", "all-off")], False),
        (("a",), [], False),
        ((), [("m", "adapter-only")], False),
    ],
)
def test_which_fixes_an_interlock_forbids(clears, proof, shut) -> None:
    assert shuts(Interlock(("adapter-only",), "So.", clears), proof) is shut


def test_what_an_interlock_bars_by_index() -> None:
    measures = ("main-junction", "main-rail", "main-rail-on-pack", "sda-level")
    assert closed_by(WREN, measures, LOCK) == {1, 3}
    assert closed_by(WREN, measures, Interlock((), "")) == frozenset()
    plugged = outside()
    board = replace(plugged, outside="")
    confirmed = replace(FUSE, fix=replace(FUSE.fix, confirm=frozen_map({"main-rail": "healthy"})))
    asked = replace(
        FUSE, fix=replace(FUSE.fix, confirm=frozen_map({"main-rail": "healthy", "main-junction": "x"}))
    )
    lock = Interlock(("adapter-only",), "So.", ("main-junction",))
    assert shut_by(BOOK, WREN, (confirmed, asked, board, plugged), lock) == 0b1001
    assert shut_by(BOOK, WREN, (confirmed, asked, board, plugged), replace(lock, clears=())) == 0
    assert checked_by({0: (1, 2), 2: (2,), 3: (0,)}, 2) == 0b101
    assert checked_by({}, 2) == 0


def test_what_is_measured_on_a_board_without_a_symptom() -> None:
    """The ohms of each supply rail, then the first plain volts of each, in start order."""
    junction = WREN.measurements["main-junction"]
    measured = {
        "b-ohms": replace(junction, id="b-ohms", mode="ohms"),
        "a-ohms": replace(junction, id="a-ohms", mode="ohms", at="TP1", net="VIN"),
        "out": replace(junction, id="out", mode="ohms", unplugged=("J1",)),
        "line": replace(junction, id="line", mode="ohms", at="TP3", net="SDA"),
        "between": replace(junction, id="between", mode="ohms", between=("TP2", "TP1")),
        "volts-out": replace(VOLTS, id="volts-out", unplugged=("J1",)),
        "ripple": replace(VOLTS, id="ripple", mode="ac-ripple"),
        "volts": replace(VOLTS, id="volts"),
        "again": replace(VOLTS, id="again", state="pack-only"),
    }
    family = replace(WREN, measurements=frozen_map(measured))
    assert down_the_rails(family) == ("a-ohms", "b-ohms", "volts")


# Cases.


@pytest.mark.parametrize(
    ("given", "reason", "mend"),
    [
        (("siskin-21",), "'siskin-21' is not a family", "siskin-12"),
        (("siskin-12", "Z"), "siskin-12 has no revision 'Z'", ""),
        (("siskin-12", None, "hand-held"), "'hand-held' is not a meter", ""),
    ],
)
def test_what_the_book_has_not(given, reason, mend) -> None:
    with pytest.raises(CaseError) as refusal:
        make_case(example(), *given)
    assert refusal.value.reason == reason
    assert mend in refusal.value.mend
    assert str(refusal.value).startswith(reason)
    assert str(CaseError("So", "")) == "So"


def test_a_case_without_suspects_has_the_recorded_faults_alone() -> None:
    known = make_case(example(), "siskin-12", suspects=False)
    assert known.recorded == len(known.faults)
    assert case("siskin-12").recorded == known.recorded < len(case("siskin-12").faults)


def test_a_plan_foresees_what_a_reading_will_be_taken_for() -> None:
    """0.98 of the row, 0.02 of what means nothing; something else 0.7 of the healthy outcomes."""
    scale = scale_of(replace(THREE, id="m"), replace(METER, accuracy=frozen_map()))
    table = plan_table(scale, ((1.0, 0.0, 0.0), (0.5, 0.0, 0.5)))
    third = 0.02 / 3
    assert [row[0] for row in table] == pytest.approx([0.98 + third, third, third])
    assert [row[1] for row in table] == pytest.approx([0.49 + third, third, 0.49 + third])
    assert [row[2] for row in table] == pytest.approx([0.1, 0.8, 0.1])


@pytest.mark.parametrize(
    ("values", "confirmed"),
    [
        ((8.4,), False),
        ((8.4, 8.41), True),
        ((8.4, 0.1), False),
        ((8.4, 8.41, 0.1), False),
        ((0.1, 8.4, 8.41), True),
    ],
)
def test_two_readings_alike_confirm_each_other(values, confirmed) -> None:
    taken = [Reading("main-rail-adapter", str(v), v) for v in values]
    found = evidence(case("siskin-12"), ["no-power", "no-power"], taken)
    assert (found.confirmed == {"main-rail-adapter"}) is confirmed
    assert [r.value for r in found.readings] == [values[-1]]
    assert found.symptoms == ("no-power",)


# The look ahead.


BENCH = replace(random_bench(3, faults=3, measures=3)[0], fix_minutes=(10.0, 20.0, 10.0), escalate=100.0)


def test_what_may_be_tried_and_which_is_best() -> None:
    look = look_at(BENCH)
    place = Place((0.2, 0.4, 0.2, 0.2), (0, 1, 2))
    assert best_ratio(look, place) == 0, "of equals the first"
    assert best_ratio(look, replace(place, locked=0b001)) == 1
    assert best_ratio(look, replace(place, locked=0b011)) == 2
    assert best_ratio(look, replace(place, locked=0b111)) == -1
    assert best_ratio(look, replace(place, weights=(0.0, 0.0, 0.0, 1.0))) == -1
    assert look.may(place, 0)
    assert not look.may(replace(place, locked=0b001), 0)
    assert look.hopeless == pytest.approx((10 / 90, 20 / 80, 10 / 90))
    assert look.worth(place.weights, 0b010) == {0: 0.2, 2: 0.2}
    assert look.worth((0.2, 0.4, 0.2, 1.7), 0) == {0: 0.2, 2: 0.2}, "0.4 are no more than a quarter of 1.7"


def test_a_guarded_fix_is_tried_once_its_fault_has_gained_on_something_else() -> None:
    look = look_at(replace(BENCH, guarded=0b001), (0.2, 0.2, 0.2, 0.4))
    assert look.guards == (0.5, 0.0, 0.0)
    assert not look.may(Place((0.2, 0.2, 0.2, 0.4), ()), 0)
    assert look.may(Place((0.21, 0.2, 0.2, 0.4), ()), 0)
    assert look_at(replace(BENCH, guarded=0b001)).guards == (0.0, 0.0, 0.0), "nothing was read before"
    assert look.floors == (10.0, 20.0, 10.0, 100.0)
    assert look_at(replace(BENCH, escalate=15.0)).floors == (10.0, 15.0, 10.0, 15.0)


def test_where_a_job_begins() -> None:
    bench = replace(BENCH, rails_first=(1, 2), down=(2, 0), guarded=0b110)
    weights = (0.2, 0.4, 0.2, 0.2)
    assert start(bench, weights) == Place(weights, (0, 1, 2), 0, 0b110)
    assert start(bench, weights, ["m1"], 2) == Place(weights, (0, 2), 2, 0b110)
    assert start(bench, weights, closed=frozenset({0})).open == (1, 2)
    assert start(bench, weights, rails_first=True).first == (1, 2)
    assert start(bench, weights, ["m1"], rails_first=True).first == (2,)
    assert start(bench, weights, closed=frozenset({0}), rails_first=True).first == (), "nothing is live"
    lively = replace(bench, live=frozenset({2}))
    assert start(lively, weights, closed=frozenset({0, 1}), rails_first=True).first == (2,)
    assert start(bench, weights, unknown=True).down == (2, 0)
    assert start(bench, weights, ["m0"], unknown=True).down == (2,)
    opened = start(bench, weights, shut=0b101, spoken=0b010)
    assert (opened.locked, opened.shut) == (0b101, 0b101)


def test_what_an_outcome_leaves() -> None:
    bench = replace(
        BENCH,
        measure_setup=(1, 2, 1),
        closes={(0, 0): frozenset({0, 2}), (1, 0): frozenset({2})},
        shuts={(0, 0): 0b001, (1, 0): 0b100},
        opens={(0, 1): 0b010, (1, 0): 0b110},
    )
    place = Place((0.25, 0.25, 0.25, 0.25), (0, 1, 2), 0, 0b110, 0b100, (0, 1), (2,))
    free = after_outcome(bench, place, 0, 1)
    assert (free.open, free.setup, free.locked, free.shut, free.first, free.down) == (
        *((1, 2), 1, 0b100, 0b100),
        *((1,), ()),
    )
    barred = after_outcome(bench, place, 0, 0)
    assert (barred.open, barred.setup, barred.locked, barred.shut, barred.first) == (
        (1,),
        0,
        0b111,
        0b101,
        (),
    )
    lively = replace(bench, live=frozenset({1}))
    assert after_outcome(lively, replace(place, first=(0, 1, 2)), 0, 0).first == (1,)
    other = after_outcome(bench, place, 1, 0)
    assert (other.open, other.setup, other.locked, other.shut) == ((0,), 2, 0b100, 0b100)
    assert [stands_after(bench, m, 0) for m in range(3)] == [0, 2, 1]
    assert locked_after(bench, place, 2, 0) == 0b110


def test_a_fix_that_failed_takes_all_ways_of_its_fault_out() -> None:
    bench = replace(BENCH, extra=(1, 3))
    place = Place((0.1, 0.2, 0.3, 0.1, 0.2, 0.1), (0, 1), 1, 0b100, 0b100, (0,), (1,))
    assert after_failed_fix(bench, place, 1) == Place(
        (0.1, 0.0, 0.3, 0.0, 0.2, 0.1), (0, 1), 0, 0b100, 0b100, (0,)
    )
    assert after_failed_fix(bench, place, 0).weights == (0.0, 0.2, 0.3, 0.1, 0.2, 0.1)


def test_choices_by_their_minutes_then_fixes_before_measurements_then_by_id() -> None:
    found = [
        Choice("measure", 0, 1, 10.0),
        Choice("measure", 1, 1, 9.0),
        Choice("fix", 1, 1, 10.0 + 1e-7),
        Choice("fix", 0, 1, 10.0),
        Choice("escalate", -1, 1, 10.0),
    ]
    ordered = sorted(found, key=in_rank)
    assert [(c.kind, c.index) for c in ordered] == [
        *(("measure", 1), ("escalate", -1)),
        *(("fix", 0), ("fix", 1), ("measure", 0)),
    ]


def test_what_is_unread_before_a_fix() -> None:
    look = look_at(replace(BENCH, checks={1: (0, 2)}))
    place = Place((0.25, 0.25, 0.25, 0.25), (1, 2))
    assert look.unread(place, 1) == (2,)
    assert look.unread(place, 0) == ()


def test_what_comes_before_a_fix_takes_no_other_fix_out() -> None:
    """A measurement and a fix may have one number."""
    bench = replace(BENCH, checks={0: (1,)}, measure_minutes=(500.0,) * 3, fix_minutes=(10.0, 11.0, 12.0))
    place = Place((0.6, 0.2, 0.19, 0.01), (0, 1, 2))
    found = choices(look_at(bench), place)
    assert [(c.kind, c.index) for c in found[:2]] == [("measure", 1), ("fix", 0)]
    assert {c.index for c in found if c.kind == "fix"} == {0, 1, 2}


def test_how_deep_a_step_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three actions ahead where a quarter of the jobs come, two from one in fifty on, else one; and two at
    most among many hypotheses."""
    asked: list[int] = []

    def noted(look: Any, sheet: Any, place: Any, depth: int) -> Choice:
        asked.append(depth)
        return Choice("escalate", -1, 1.0, 1.0)

    monkeypatch.setattr(plans, "best", noted)
    for reach in (1.0, 0.25, 0.249, 0.02, 0.019):
        plans.grow_from(
            BENCH, Place((0.4 * reach, 0.3 * reach, 0.2 * reach, 0.1 * reach), (0, 1, 2)), rare=0.0
        )
    assert asked == [3, 3, 2, 2, 1]
    monkeypatch.setattr(plans, "FEW", 2)
    plans.grow_from(BENCH, Place((0.4, 0.3, 0.2, 0.1), (0, 1, 2)))
    assert asked[-1] == 2


def test_a_job_of_which_nothing_was_read_bars_nothing() -> None:
    here = place_of(example(), case("siskin-12"), evidence(case("siskin-12"), ["pack-not-seen"]))
    assert (here.shut, here.setup) == (0, 0)
    assert here.locked == case("siskin-12").bench.guarded
    assert len(here.open) == len(case("siskin-12").bench.measures)


def test_every_hypothesis_of_a_small_book_may_be() -> None:
    """No symptom names an accessory there: it has next to nothing, but not nothing."""
    known = hypotheses.hypotheses_of(BOOK, WREN)
    assert all(p > 0 for p in known.prior)
    assert all(p > 0 for row in known.shows.values() for p in row)


def test_the_weight_of_a_way_of_failing() -> None:
    """Of each part on the board its modes count for as many ways as its kind has, by their shares."""
    weight: dict[tuple[str, str], float] = {}
    for one in suspects_of(BOOK, WREN):
        for member in one.members if not one.outside else ():
            key = member.part, member.mode
            weight[key] = weight.get(key, 0.0) + member.share * one.weight
    fuse, chip = mode_shares("fuse"), mode_shares("ic", power=True)
    assert ("F1", "open") not in weight, "it has a record"
    assert fuse == {"open": 1.0}
    assert weight["U1", "open"] == pytest.approx(len(chip) * chip["open"])


def test_a_rail_below_a_tenth_of_its_lowest_healthy_volts_is_down() -> None:
    """`3 to 5 V` is healthy, so 0.3 V and less is down: `under 1 V` may be more, `under 0.3 V` is not."""
    for low, down in (("under 1 V", False), ("under 0.31 V", False), ("under 0.3 V", True)):
        scale = scale_of(replace(measuring(low=low, normal="3 to 5 V"), id="m"), METER)
        board = SimpleNamespace(
            boards=SimpleNamespace(case=SimpleNamespace(scales={"m": scale})), known={"m": 0}
        )
        assert Board._is_down(board, "m") is down  # type: ignore[arg-type]


def test_what_hangs_on_a_rail_that_is_down_reads_its_lowest_outcome() -> None:
    def drawn(rail: int) -> int:
        names = {"rail": ("normal", "low"), "line": ("high", "normal", "low")}
        ranges: dict[str, Any] = {"low": "under 0.2 V", "normal": "3 to 5 V", "high": "over 8 V"}
        scales = {
            m: scale_of(replace(measuring(**{o: ranges[o] for o in found}), id=m), METER)
            for m, found in names.items()
        }
        boards = SimpleNamespace(case=SimpleNamespace(scales=scales), fed={"line": ("rail",)})
        board = SimpleNamespace(boards=boards, known={"rail": rail}, _outcome=lambda _: 1)
        board._draw = lambda m: Board._draw(board, m)  # type: ignore[arg-type]
        board._is_down = lambda m: Board._is_down(board, m)  # type: ignore[arg-type]
        board._draw("line")
        return int(board.known["line"])

    assert drawn(0) == 1, "the rail stands"
    assert drawn(1) == 2, "the lowest of three, which is the last"


def test_what_each_way_of_failing_reads_is_one_in_all() -> None:
    for name in ("wren-5/fuse-open", "wren-5/rail-short"):
        known = make_case(BOOK, FAMILY)
        ways = _ways_of(BOOK, WREN, known, name)
        assert math.fsum(way.share for way in ways) == pytest.approx(1)
        stated = {e.measure for e in BOOK.faults[name].test_points}
        told = [row for way in ways for m, row in way.reads.items() if m not in stated]
        assert told
        assert all(math.fsum(row.values()) == pytest.approx(1) for row in told)


def test_which_of_two_entries_is_likelier_to_mean_nothing() -> None:
    """Of each fault its probability, times two in a hundred, times what means nothing over what it says."""
    seen = SimpleNamespace(nothing=0.2, likely=(0.5, 0.1, 0.3))
    expected = 0.6 * 0.02 * 0.2 / 0.5 + 0.3 * 0.02 * 0.2 / 0.1
    assert _blunder(seen, (0.6, 0.3, 0.1)) == pytest.approx(expected)  # type: ignore[arg-type]


def test_a_fault_whose_fix_was_tried_explains_nothing_any_more() -> None:
    """f0 explains all; once it was tried, f1 and f2 do so together."""
    known = small((0.3, 0.3, 0.3, 0.1), {"m1": [BAD, BAD, OK], "m2": [BAD, OK, BAD]})
    seen = saw(m1="bad", m2="bad")
    assert perhaps_both(known, Evidence((), seen)) == ()
    (found,) = perhaps_both(known, Evidence((), seen, ("f0",)))
    assert found.faults == ("f1", "f2")


def test_the_minutes_of_a_proof_by_hand() -> None:
    """Without power first: 4 min for the state and 2 for the measurement; then 3 and 1, and 1 more in that
    state, with 5 min to unplug a part."""
    minutes = {"main-junction": 2.0, "main-rail": 1.0, "sda-level": 1.0}
    measured = {m: replace(one, minutes=minutes.get(m, 9.0)) for m, one in WREN.measurements.items()}
    measured["sda-level"] = replace(measured["sda-level"], unplugged=("J1",))
    spent = {"all-off": 4.0, "adapter-only": 3.0}
    states = {s.id: replace(s, minutes=spent.get(s.id, 9.0)) for s in WREN.bench_states}
    family = replace(WREN, measurements=frozen_map(measured), states=frozen_map(states))
    assert {m: measured[m].state for m in minutes} == {
        "main-junction": "all-off",
        "main-rail": "adapter-only",
        "sda-level": "adapter-only",
    }
    shop = replace(BOOK.shop, unplug_minutes=5.0)
    book = replace(BOOK, shop=shop, families=frozen_map({FAMILY: family}))
    fix = replace(FUSE.fix, confirm=frozen_map(dict.fromkeys(minutes, "healthy")))
    assert proof_minutes(book, replace(FUSE, fix=fix)) == pytest.approx(4 + 2 + 3 + 1 + 5 + 1)


def test_an_outcome_that_is_named_has_no_ends() -> None:
    scale = scale_of(THREE, replace(METER, accuracy=frozen_map()))
    assert scale.bands == tuple(Band(name, 0, 0, 0, 0, 0, False) for name in ("low", "normal", "high"))


def test_at_the_very_end_of_two_outcomes_that_touch_a_reading_lies_between_them() -> None:
    measurement = measuring(low="1 to 3 V", normal="3 to 5 V")
    found = verdict(measurement, METER, scale_of(measurement, METER), Reading("m", "", 3.0))
    assert found.kind == "undecided"
    assert "lies between low and normal; with" in found.says


def test_what_is_named_beside_what_is_read_is_never_a_number() -> None:
    bands = scale_of(measuring(normal="3 to 5 V", burnt=""), METER).bands
    assert [b.read for b in bands] == [True, False]
    assert bands[1] == Band("burnt", 0, 0, 0, 0, 0, False)


def test_what_a_record_states_of_one_measurement() -> None:
    one, other, *_ = FUSE.test_points
    for point in (one, other):
        measurement = WREN.measurements[point.measure]
        row = hypotheses._stated_row(FUSE, measurement)
        assert row == tuple(point.expected_reading.get(o, 0.0) for o in measurement.outcomes)
    stated = {point.measure for point in FUSE.test_points}
    for name in set(WREN.measurements) - stated:
        assert hypotheses._stated_row(FUSE, WREN.measurements[name]) is None


# One outcome from 1 to 2 V and one from 4 to 5 V; the standard uncertainty is 0.125 V, three of them 0.375 V.
@pytest.mark.parametrize(
    ("low", "high", "far", "beside"),
    [
        (0.625, 0.625, False, False),  # no more than three
        (0.624, 0.624, True, True),
        (5.375, 5.375, False, False),
        (5.376, 5.376, True, True),
        (3.0, 3.0, False, True),  # between the two
        (2.375, 2.375, False, False),
        (2.376, 3.624, False, True),
        (2.376, 3.625, False, False),
        (0.1, 0.7, False, False),  # unsteady: one end is near
        (0.1, 0.6, True, True),
    ],
)
def test_a_reading_that_fits_no_outcome(low, high, far, beside) -> None:
    bands = (SimpleNamespace(low=1.0, high=2.0, read=True), SimpleNamespace(low=4.0, high=5.0, read=True))
    seen = SimpleNamespace(low=0.0, high=9.0, read=False)  # what is seen has no volts
    scale: Any = SimpleNamespace(bands=(*bands, seen))
    reading = Reading("m", "", value=(low + high) / 2, span=(low, high) if low < high else None)
    assert (_far(scale, reading, 0.125), _beside(scale, reading, 0.125)) == (far, beside)
    for unknown in ((replace(reading, value=None), 0.125), (reading, None)):
        assert not _far(scale, *unknown)
        assert not _beside(scale, *unknown)
