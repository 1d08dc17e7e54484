"""Contradictions and pairs of faults on small cases, beside their definitions carried out word by word."""

from __future__ import annotations

import math
import random
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import combinations

import pytest

from benchlore.diagnosis.case import Bench, Case
from benchlore.diagnosis.conflict import (
    LEADS,
    LEAST,
    PAIRED,
    TWICE,
    Contradiction,
    contradictions,
    of_two,
    perhaps_both,
)
from benchlore.diagnosis.likelihood import BLUNDER, HEALTHY, Scale, scale_of
from benchlore.diagnosis.posterior import Evidence, posterior
from benchlore.diagnosis.reading import Reading
from benchlore.diagnosis.ways import columns_of
from tests.books import example
from tests.diagnosis.test_scale import METER, OHMS, THREE, measuring

OUTCOMES = ("ok", "bad", "worse")
BENCH = Bench((), (), (), (), (), (), (), ((0.0,),), 60.0)
Row = tuple[float, float, float]
OK, BAD, WORSE = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)


def named(measure: str) -> Scale:
    """The scale of what is looked at: `ok`, which is healthy, `bad` and `worse`."""
    look = next(m for m in example().families["siskin-12"].measurements.values() if m.unit is None)
    made = measuring(look, normal="", bad="", worse="")
    outcomes = {name: replace(o, id=name) for name, o in zip(OUTCOMES, made.outcomes.values(), strict=True)}
    return scale_of(replace(made, id=measure, outcomes=outcomes), METER)


def small(
    prior: Sequence[float],
    rows: Mapping[str, Sequence[Row | None]],
    shows: Mapping[str, Sequence[float]] | None = None,
) -> Case:
    """A case of a few faults; of None nobody knows what it reads: each outcome alike."""
    count = len(prior) - 1
    expected = {m: tuple(row or (1 / 3, 1 / 3, 1 / 3) for row in found) for m, found in rows.items()}
    return Case(
        "f",
        None,
        "m",
        tuple(f"f{i}" for i in range(count)),
        tuple(prior),
        {s: tuple(row) for s, row in (shows or {}).items()},
        {m: named(m) for m in rows},
        expected,
        dict.fromkeys(rows, ()),
        (),
        columns_of(count, ()),
        {m: tuple(range(count)) for m in rows},
        {m: frozenset(i for i, row in enumerate(found) if row is not None) for m, found in rows.items()},
        (),
        BENCH,
    )


def saw(**outcomes: str) -> tuple[Reading, ...]:
    return tuple(Reading(m, o, outcome=o) for m, o in outcomes.items())


def likely(case: Case, reading: Reading) -> list[float]:
    """p(reading | hypothesis): two in a hundred mean nothing; something else is mostly healthy."""
    o = OUTCOMES.index(reading.outcome or "")
    rows = case.expected[reading.measure]
    own = [(1 - BLUNDER) * row[o] + BLUNDER / 3 for row in rows]
    return [*own, HEALTHY * (o == 0) + (1 - HEALTHY) / 3]


def together(case: Case, reading: Reading, f: int, g: int) -> float:
    """p(reading | both): healthy when both read so; abnormal as the one that makes it so, or as both."""
    one, other = (case.expected[reading.measure][h] for h in (f, g))
    o = OUTCOMES.index(reading.outcome or "")
    row = [one[0] * other[0], *(one[i] * other[0] + one[0] * other[i] + one[i] * other[i] for i in (1, 2))]
    unknown = one[1] * other[2] + one[2] * other[1]
    return (1 - BLUNDER) * (row[o] + unknown / 3) + BLUNDER / 3


def pairs_by_definition(case: Case, known: Evidence) -> list[tuple[set[str], float]]:
    readings, count = known.readings, len(case.faults)
    running = [h for h in range(count + 1) if h == count or case.faults[h] not in known.tried]
    foresees = {h: [likely(case, r)[h] >= 1 / 3 for r in readings] for h in running}
    if len(readings) < 2 or any(all(foresees[h]) for h in running):
        return []

    def single(h: int) -> float:
        return case.prior[h] * math.prod(
            [case.shows[s][h] for s in known.symptoms] + [likely(case, r)[h] for r in readings]
        )

    of_all = sum(case.prior[f] * case.prior[g] for f, g in combinations(range(count), 2))
    found = {}
    named = sorted((h for h in running if h != count and any(foresees[h])), key=lambda h: (-single(h), h))
    for f, g in combinations(sorted(named[:PAIRED]), 2):
        if all(together(case, r, f, g) > 1 / 3 * (1 + 1e-9) for r in readings):
            either = [1 - (1 - case.shows[s][f]) * (1 - case.shows[s][g]) for s in known.symptoms]
            prior = TWICE * case.prior[f] * case.prior[g] / of_all
            found[f, g] = prior * math.prod(either + [together(case, r, f, g) for r in readings])
    whole = (1 - TWICE) * sum(single(h) for h in running) + sum(found.values())
    kept = [(w / whole, f, g) for (f, g), w in found.items() if w / whole >= LEAST]
    kept.sort(key=lambda one: (-one[0], one[1], one[2]))
    return [({case.faults[f], case.faults[g]}, p) for p, f, g in kept]


def contradictions_by_definition(case: Case, known: Evidence) -> list[tuple[str, str]]:
    count = len(case.faults)

    def alone(reading: Reading, h: int) -> bool:
        silent = h < count and h not in case.says[reading.measure]
        return silent or likely(case, reading)[h] >= 1 / 3

    def pair(reading: Reading, f: int, g: int) -> bool:
        for silent, other in ((f, g), (g, f)):
            if silent not in case.says[reading.measure]:
                return alone(reading, other)
        return together(case, reading, f, g) >= 1 / 3 * (1 + 1e-9)

    found = []
    for one, other in combinations(known.readings, 2):
        by, also = ({h for h in range(count + 1) if alone(r, h)} for r in (one, other))
        if not by or not also or by & also:
            continue
        two = [(f, g) for f in by - {count} for g in also - {count}]
        if not any(pair(one, f, g) and pair(other, f, g) for f, g in two):
            found.append((one.measure, other.measure))
    return found


def drawn(chance: random.Random) -> tuple[Case, Evidence]:
    """Five faults and seven measurements; most readings are certain, and now and then nobody knows one."""

    def row() -> Row | None:
        if chance.random() < 0.2:
            return None
        if chance.random() < 0.7:
            return chance.choice((OK, OK, BAD, WORSE))
        share = chance.random()
        return chance.choice([(share, 1 - share, 0.0), (0.0, share, 1 - share)])

    weights = [chance.random() + 0.05 for _ in range(6)]
    prior = [w / sum(weights) for w in weights]
    rows = {f"m{i}": [row() for _ in range(5)] for i in range(7)}
    shows = {"dead": [chance.choice((0.9, 0.3, 0.01)) for _ in range(6)]}
    case = small(prior, rows, shows)
    two = chance.sample(range(5), 2)  # most read as one of two faults makes it

    def seen(measure: str) -> str:
        read = [rows[measure][h] or OK for h in two]
        abnormal = [row.index(max(row)) for row in read if row[0] < 0.5]
        return OUTCOMES[chance.choice(abnormal or [0])] if chance.random() < 0.9 else chance.choice(OUTCOMES)

    readings = saw(**{m: seen(m) for m in rows})
    symptoms = ("dead",) if chance.random() < 0.5 else ()
    tried = ("f1",) if chance.random() < 0.3 else ()
    return case, Evidence(symptoms, readings[: chance.randint(1, 7)], tried)


def test_pairs_and_contradictions_by_definition():
    chance, pairs, apart = random.Random(3), 0, 0
    for _ in range(400):
        case, known = drawn(chance)
        expected = pairs_by_definition(case, known)
        found = perhaps_both(case, known)
        assert [set(one.faults) for one in found] == [faults for faults, _ in expected]
        assert [one.probability for one in found] == pytest.approx([p for _, p in expected])
        pairs += len(found)
        said = contradictions(case, known, posterior(case, known))
        assert [(one.one, one.other) for one in said] == contradictions_by_definition(case, known)
        apart += len(said)
    assert pairs > 20
    assert apart > 10


@pytest.mark.parametrize("count", [PAIRED - 1, PAIRED, PAIRED + 1])
def test_pairs_of_the_likeliest_alone_are_tried(count):
    """The first fault with any other explains all; the more others are tried, the less is left of each."""
    weights = [5.0, 20.0, *(1.0 for _ in range(count - 2)), 0.5]
    rows = {"m1": [BAD, *(OK for _ in range(count - 1))], "m2": [OK, *(BAD for _ in range(count - 1))]}
    case = small([w / sum(weights) for w in weights], rows)
    known = Evidence((), saw(m1="bad", m2="bad"))
    (found,) = perhaps_both(case, known)
    ((faults, probability),) = pairs_by_definition(case, known)
    assert set(found.faults) == faults
    assert found.probability == pytest.approx(probability)


APART = {"m1": [BAD, WORSE], "m2": [WORSE, BAD]}


def test_two_entries_that_two_faults_would_make_differ_contradict_each_other():
    case = small((0.6, 0.3, 0.1), APART)
    known = Evidence((), saw(m1="bad", m2="bad"))
    (found,) = contradictions(case, known, (0.6, 0.3, 0.1))
    # Of f0 m2 means nothing, of f1 m1: f0 is likelier, so m2 is likelier wrong.
    assert found == Contradiction("m1", "m2", ("m2", "m1"))
    assert contradictions(case, known, (0.3, 0.6, 0.1))[0].again == ("m1", "m2")
    assert contradictions(case, replace(known, confirmed=frozenset({"m2"})), (0.6, 0.3, 0.1))[0].again == (
        "m1",
    )
    assert contradictions(case, known, (0.45, 0.45, 0.1))[0].again == ("m1", "m2"), "in the order taken"


@pytest.mark.parametrize(
    ("rows", "seen"),
    [
        ({"m1": [BAD, OK], "m2": [OK, BAD]}, ("bad", "bad")),  # both at once
        ({"m1": [BAD, WORSE], "m2": [BAD, WORSE]}, ("bad", "bad")),  # one explains both
        ({"m1": [BAD, None], "m2": [WORSE, BAD]}, ("bad", "bad")),  # one of them is silent
        ({"m1": [BAD, WORSE], "m2": [WORSE, OK]}, ("bad", "bad")),  # the second is explained by nothing
    ],
)
def test_entries_that_something_explains_do_not_contradict(rows, seen):
    case = small((0.6, 0.3, 0.1), rows)
    known = Evidence((), saw(m1=seen[0], m2=seen[1]))
    assert contradictions(case, known, (0.6, 0.3, 0.1)) == ()


def test_what_two_faults_read_together():
    row, unknown = of_two((0.5, 0.5, 0.0), (0.4, 0.0, 0.6), (0,))
    assert row == pytest.approx((0.5 * 0.4, 0.5 * 0.4, 0.5 * 0.6))
    assert unknown == pytest.approx(0.5 * 0.6)
    # Two healthy outcomes share what both read as healthy, by what each reads.
    row, unknown = of_two((0.6, 0.2, 0.2), (0.1, 0.9, 0.0), (0, 1))
    assert row == pytest.approx(((0.6 * 1.0 + 0.1 * 0.8) / 2, (0.2 * 1.0 + 0.9 * 0.8) / 2, 0.2))
    assert unknown == pytest.approx(0)


@pytest.mark.parametrize(
    ("volts", "ohms", "clash"),
    [
        (8.4, 4.21, False),  # two amperes
        (8.4, 4.19, True),
        (-8.4, 4.19, True),
        (8.4, -4.19, True),
        (2 * LEADS, 0.01, False),  # the leads have that much
        (2 * LEADS + 0.001, 0.01, True),
        (3.0, 100.0, False),
    ],
)
def test_volts_and_ohms_of_one_rail_by_ohm_s_law(volts, ohms, clash):
    """Two amperes are all that there can be; 90 to 110 ohm is healthy, and then the rail is not shorted."""
    scales = {
        "volts": scale_of(THREE, METER),
        "ohms": scale_of(measuring(OHMS, short="under 90 ohm", normal="90 to 110 ohm"), METER),
    }
    expected = {"volts": ((0.2, 0.6, 0.2),) * 2, "ohms": ((0.5, 0.5),) * 2}
    case = replace(
        small((0.6, 0.3, 0.1), APART),
        scales=scales,
        expected=expected,
        ways={"volts": (), "ohms": ()},
        alike={"volts": (0, 0), "ohms": (0, 0)},
        says={"volts": frozenset(), "ohms": frozenset()},
        amps={("volts", "ohms"): 2.0},
    )
    readings = (Reading("volts", "", volts), Reading("ohms", "", ohms))
    for taken in (readings, readings[::-1]):
        assert bool(contradictions(case, Evidence((), taken), (0.6, 0.3, 0.1))) == clash
    assert not contradictions(replace(case, amps={}), Evidence((), readings), (0.6, 0.3, 0.1))
    over = (Reading("volts", "OL"), Reading("ohms", "", ohms))
    assert not contradictions(case, Evidence((), over), (0.6, 0.3, 0.1))


def test_a_healthy_resistance_never_clashes_with_volts():
    ohms = scale_of(measuring(OHMS, normal="under 90 ohm", high="over 90 ohm"), METER)
    case = replace(
        small((0.6, 0.3, 0.1), APART),
        scales={"volts": scale_of(THREE, METER), "ohms": ohms},
        expected={"volts": ((0.2, 0.6, 0.2),) * 2, "ohms": ((0.5, 0.5),) * 2},
        ways={"volts": (), "ohms": ()},
        alike={"volts": (0, 0), "ohms": (0, 0)},
        says={"volts": frozenset(), "ohms": frozenset()},
        amps={("volts", "ohms"): 2.0},
    )
    taken = (Reading("volts", "", 19.0), Reading("ohms", "", 0.2))
    assert contradictions(case, Evidence((), taken), (0.6, 0.3, 0.1)) == ()
