"""The first choice alone is that of all choices, and what is checked before a fix comes before it."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest

from benchlore.diagnosis.at_once import best, every, sheet_of
from benchlore.diagnosis.case import Bench
from benchlore.diagnosis.lookahead import (
    BEAM,
    DEPTH,
    Choice,
    Look,
    Place,
    choices,
    look_at,
    measured_first,
    start,
)
from tests.diagnosis.benches import random_bench

FAULTS, MEASURES = 8, 10


def wide(seed: int) -> tuple[Bench, Place]:
    """More faults than are looked at again, more measurements than may follow; some fixes are locked."""
    bench, weights = random_bench(seed, faults=FAULTS, measures=MEASURES)
    chance = random.Random(seed)
    weights = tuple(0.0 if chance.random() < 0.15 else w for w in weights[:-1]) + weights[-1:]
    return bench, replace(start(bench, weights), locked=chance.randrange(1 << FAULTS) & 0b1001)


def alone(look: Look, place: Place, depth: int = DEPTH) -> Choice:
    return best(look, sheet_of(look), place, depth)


def close(one: Choice, other: Choice) -> bool:
    """The same action, for the same minutes but for rounding."""
    alike = one.minutes == pytest.approx(other.minutes) and one.expected == pytest.approx(other.expected)
    return (one.kind, one.index) == (other.kind, other.index) and alike


def sharp(bench: Bench, place: Place, seed: int) -> tuple[Bench, Place]:
    """The same with quick measurements, or with dear ones, so that fixes and escalation come first, too."""
    factor = (0.05, 1.0, 8.0)[seed % 3]
    minutes = tuple(m * factor for m in bench.measure_minutes)
    escalate = bench.escalate * (0.3 if seed % 4 == 3 else 1.0)
    likely = seed % FAULTS
    weights = tuple(w + 3 * (seed % 3 == 2 and h == likely) for h, w in enumerate(place.weights))
    return replace(bench, measure_minutes=minutes, escalate=escalate), replace(place, weights=weights)


@pytest.mark.parametrize("depth", [1, 2])
def test_the_first_of_all_choices_is_found_alone(depth: int) -> None:
    kinds = set()
    for seed in range(24):
        bench, place = sharp(*wide(seed), seed)
        look = look_at(bench)
        found = alone(look, place, depth)
        kinds.add(found.kind)
        first = choices(look, place, depth)[0]
        assert (found.kind, found.index) == (first.kind, first.index), seed
        assert (found.minutes, found.expected) == pytest.approx((first.minutes, first.expected))
    assert kinds >= {"measure", "fix"}


def splits(*first: int) -> tuple[tuple[float, ...], ...]:
    """Outcomes of a measurement that reads one way with some of four faults, another with the others."""
    row = tuple(0.98 if fault in first else 0.02 for fault in range(4))
    return ((*row, 0.5), (*(1 - p for p in row), 0.5))


def alike_and_dear(readings: int) -> tuple[Bench, Place]:
    """Four equal faults. So many readings tell the same pairs apart, for two minutes. Two looks tell other
    pairs apart, for a minute each, behind ten of opening: after the first the second costs a minute alone.
    """
    tables = (*(splits(0, 1) for _ in range(readings)), splits(0, 2), splits(0, 3))
    count = len(tables)
    bench = Bench(
        faults=("a", "b", "c", "d"),
        fix_minutes=(40.0,) * 4,
        measures=tuple(f"m{i}" for i in range(count)),
        outcomes=(("one", "other"),) * count,
        tables=tables,
        measure_minutes=(2.0,) * readings + (1.0, 1.0),
        measure_setup=(0,) * readings + (1, 1),
        change=((0.0, 10.0), (0.0, 0.0)),
        escalate=200.0,
    )
    return bench, start(bench, (0.24, 0.24, 0.24, 0.24, 0.04))


def test_readings_that_tell_the_same_take_one_place_and_a_look_that_pays_two_ahead_is_found() -> None:
    bench, place = alike_and_dear(readings=6)
    look = look_at(bench)
    ahead = choices(look, place, 1)
    assert [c.index for c in ahead[:6]] == [0, 1, 2, 3, 4, 5], "one action ahead the readings are best"
    found = choices(look, place)
    assert (found[0].kind, found[0].index) == ("measure", 6)
    assert close(alone(look, place), found[0])
    assert found[0].expected < min(c.expected for c in found if c.index == 0)
    assert {(c.kind, c.index) for c in found} == {(c.kind, c.index) for c in ahead}, "none is lost"


def test_of_readings_that_tell_the_same_the_cheapest_is_looked_at_deeper() -> None:
    bench, _ = alike_and_dear(readings=6)
    cheap = replace(bench, measure_minutes=(2.0, 2.0, 2.0, 1.5, *bench.measure_minutes[4:]))
    place = start(cheap, (0.24, 0.24, 0.24, 0.24, 0.04))
    ahead = {(c.kind, c.index): c for c in choices(look_at(cheap), place, 1)}
    found = (c for c in choices(look_at(cheap), place) if c.kind == "measure")
    deeper = {c.index for c in found if c != ahead[c.kind, c.index]}
    assert deeper == {3, 6, 7}


def test_what_tells_nothing_is_not_looked_at_deeper() -> None:
    bench, place = alike_and_dear(readings=1)
    flat = replace(bench, tables=(((0.7,) * 5, (0.3,) * 5), *bench.tables[1:]))
    ahead = {(c.kind, c.index): c for c in choices(look_at(flat), place, 1)}
    for found in (choices(look_at(flat), place), every(look_at(flat), sheet_of(look_at(flat)), place, DEPTH)):
        assert {c.index for c in found if c.kind == "measure"} == {0, 1, 2}
        assert next(c for c in found if (c.kind, c.index) == ("measure", 0)).expected == pytest.approx(
            ahead["measure", 0].expected
        )


def test_the_fixes_worth_trying_are_the_best_five_that_may_be_tried() -> None:
    for seed in range(12):
        bench, place = wide(seed)
        ratios = {i: place.weights[i] / bench.fix_minutes[i] for i in range(FAULTS)}
        may = [i for i in ratios if ratios[i] > 0 and not place.locked >> i & 1]
        expected = sorted(may, key=lambda i: -ratios[i])[:BEAM]
        found = choices(look_at(bench), place, 1)
        assert {c.index for c in found if c.kind == "fix"} == set(expected)


def test_nothing_left_is_escalated_and_what_comes_first_comes_first() -> None:
    bench, place = wide(1)
    look = look_at(bench)
    none = replace(place, weights=(0.0,) * (FAULTS + 1))
    assert alone(look, none) == Choice("escalate", -1, bench.escalate, bench.escalate)
    for changed in (replace(place, first=(3, 7)), replace(place, down=(7, 3))):
        found = choices(look, changed)
        assert close(alone(look, changed), found[0])
        assert [c.index for c in found[:2]] == [7, 3] or set(changed.first) == {c.index for c in found[:2]}
    both = choices(look, replace(place, first=(3, 7), down=(7, 5, 3)))
    assert [c.index for c in both[:2]] == [7, 3], "down the rails, of those that come first"


@pytest.mark.parametrize("depth", [1, 2, 3])
def test_a_bench_without_a_measurement_still_has_its_fixes(depth: int) -> None:
    """A meter that lacks the functions leaves none that is of use."""
    bench, weights = random_bench(5, measures=0)
    look = look_at(bench)
    place = start(bench, weights)
    found = choices(look, place, depth)[0]
    assert found.kind != "measure"
    assert close(alone(look, place, depth), found)


def test_what_is_checked_before_the_best_fix_comes_before_it() -> None:
    checked = 0
    for seed in range(12):
        bench, place = wide(seed)
        bench = replace(bench, measure_minutes=(200.0,) * MEASURES)
        without = choices(look_at(bench), place)
        asked = replace(bench, checks=dict.fromkeys(range(FAULTS), (4, 2)))
        found = choices(look_at(asked), place)
        assert close(alone(look_at(asked), place), found[0])
        if without[0].kind == "fix":
            checked += 1
            assert {c.index for c in found[:2]} == {2, 4}
            assert {c.kind for c in found[:2]} == {"measure"}
            begins = set(found[:2])
            assert list(found[2:]) == [c for c in without if c not in begins]
            done = replace(place, open=tuple(m for m in place.open if m != 4))
            assert [c.index for c in choices(look_at(asked), done)[:1]] == [2]
        else:
            assert found == without
    assert 0 < checked < 12


def test_a_check_of_a_fix_that_is_not_the_best_waits() -> None:
    for seed in range(12):
        bench, place = sharp(*wide(seed), 0)
        without = choices(look_at(bench), place)
        first = without[0]
        others = {i: (1,) for i in range(FAULTS) if (first.kind, first.index) != ("fix", i)}
        assert choices(look_at(replace(bench, checks=others)), place) == without


def test_a_measurement_valued_by_itself_is_that_of_the_choices() -> None:
    bench, place = wide(2)
    heavy = replace(place, weights=tuple(3 * w for w in place.weights))
    found = {c.index: c for c in choices(look_at(bench), place, 1) if c.kind == "measure"}
    for m in range(MEASURES):
        one = measured_first(look_at(bench), heavy, m)
        assert (one.minutes, one.expected) == pytest.approx((found[m].minutes, found[m].expected))
    assert math.fsum(place.weights) != pytest.approx(math.fsum(heavy.weights))
