"""One board fails in one way: readings are independent only given it."""

from __future__ import annotations

import math
import random

import pytest

from benchlore.diagnosis.hypotheses import _fitted, hypotheses_of
from benchlore.diagnosis.likelihood import BLUNDER, ELSEWHERE, HEALTHY, outcome_weights
from benchlore.diagnosis.posterior import Evidence, by_way, joint, likelihoods, posterior
from benchlore.diagnosis.reading import Reading
from benchlore.diagnosis.simulate import Draw
from benchlore.diagnosis.ways import columns_of, folded
from tests.books import example
from tests.diagnosis.cases import case
from tests.parts import Library

numpy = Library("numpy")
FAMILY = "siskin-12"
SHORTED = f"{FAMILY}/main-rail-capacitor-shorted"


def named(measure: str, outcome: str) -> Reading:
    return Reading(measure, outcome, outcome=outcome)


def test_the_ways_of_a_record_mix_to_what_it_states():
    known = hypotheses_of(example(), example().families[FAMILY])
    split = {h for h, _ in known.split}
    assert known.names.index(SHORTED) in split
    for h in split:
        assert math.fsum(share for g, share in known.split if g == h) == pytest.approx(1)
        for m, rows in known.ways.items():
            mine = [(s, row) for (g, s), row in zip(known.split, rows, strict=True) if g == h]
            for o, stated in enumerate(known.rows[m][h]):
                assert math.fsum(s * row[o] for s, row in mine) == pytest.approx(stated, abs=3e-9)


def test_the_fit_is_the_nearest_of_all_that_have_both_margins():
    """Any other joint distribution with the same margins is farther from the one foretold (Kullback and
    Leibler's divergence), with numpy over a thousand of them.
    """
    whole, shares, told = (0.7, 0.3), (0.6, 0.4), ((0.9, 0.1), (0.2, 0.8))
    rows = _fitted(whole, shares, told)
    found = numpy.array([[s * p for p in row] for s, row in zip(shares, rows, strict=True)])
    assert found.sum(axis=0) == pytest.approx(whole, abs=1e-8)
    assert found.sum(axis=1) == pytest.approx(shares, abs=1e-8)
    prior = numpy.array([[s * (p + 0.05) for p in row] for s, row in zip(shares, told, strict=True)])

    def apart(joint):
        return float((joint * numpy.log(joint / prior)).sum())

    for off in numpy.linspace(-0.2, 0.2, 1001):
        other = found + off * numpy.array([[1, -1], [-1, 1]])
        if (other > 0).all():
            assert apart(found) <= apart(other) + 1e-9


def test_a_shorted_board_is_not_taken_for_one_that_leaks_at_the_next_point():
    """Two readings of the rail: by the mixture of the ways, not by the product of what each reads on the
    whole.
    """
    known = case(FAMILY)
    h = known.faults.index(SHORTED)
    readings = (named("main-rail-ohms", "shorted"), named("main-rail-pack", "absent"))
    columns = known.columns.at(h)
    assert len(columns) == 2
    each = [by_way(known, reading) for reading in readings]
    mixed = math.fsum(known.columns.shares[c] * each[0][c] * each[1][c] for c in columns)
    product = math.prod(likelihoods(known, reading)[h] for reading in readings)
    assert mixed > 1.1 * product
    found, last = posterior(known, Evidence((), readings)), joint(known, Evidence((), readings))
    assert found[h] == pytest.approx(math.fsum(last[c] for c in columns))
    other = len(known.faults)
    theirs = math.fsum(known.columns.shares[c] * each[0][c] * each[1][c] for c in known.columns.at(other))
    assert found[h] / found[-1] == pytest.approx(known.prior[h] * mixed / (known.prior[-1] * theirs))


def test_a_drawn_board_keeps_its_way():
    """Of the boards whose rail reads shorted without power, next to none reads its rail by the pack as a leak
    leaves it; drawn measurement by measurement it were one in five.
    """
    known = case(FAMILY)
    draw, h = Draw(known, random.Random(4)), known.faults.index(SHORTED)
    measures = ("main-rail-ohms", "main-rail-pack")
    ways: dict[int, list[list[Reading]]] = {c: [] for c in known.columns.at(h)}
    for _ in range(2000):
        way = draw.way(h)
        ways[way].append([draw.reading(m, way) for m in measures])
    shares = [known.columns.shares[c] for c in ways]
    assert [len(found) / 2000 for found in ways.values()] == pytest.approx(shares, abs=0.04)
    for way, found in ways.items():
        for place, measure in enumerate(measures):
            row = dict.fromkeys((b.outcome for b in known.scales[measure].bands), 0.0)
            for taken in found:
                weights, _ = outcome_weights(known.scales[measure], taken[place])
                row[known.scales[measure].bands[weights.index(max(weights))].outcome] += 1 / len(found)
            rows = (*known.expected[measure], *known.ways[measure])
            wanted = rows[known.columns.rows[way]]
            assert list(row.values()) == pytest.approx(list(wanted), abs=0.06 + BLUNDER)


def test_something_else_is_on_the_whole_as_healthy_as_it_says():
    assert math.fsum(share for share, _ in ELSEWHERE) == pytest.approx(1)
    assert math.fsum(share * healthy for share, healthy in ELSEWHERE) == pytest.approx(HEALTHY)


def test_columns_by_hand():
    columns = columns_of(3, [(1, 0.75), (1, 0.25)])
    assert columns.extra == (1, 3)
    assert columns.shares == (1.0, 0.75, 1.0, 0.25, ELSEWHERE[1][0], ELSEWHERE[0][0])
    assert columns.rows == (0, 3, 2, 4)
    assert columns.spread((10, 11, 12, 13)) == [10, 11, 12, 11, 13, 13]
    assert columns.of((1, 2, 3, 4, 5), (6, 7)) == (1, 4, 3, 5, 7, 6)
    assert [columns.at(h) for h in range(4)] == [[0], [1, 3], [2], [5, 4]]
    assert folded((1, 2, 3, 4, 5, 6), columns.extra) == [1, 6, 3, 11]
    assert folded((1, 2, 3), ()) == (1, 2, 3)
