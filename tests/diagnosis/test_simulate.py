"""Simulated jobs follow the model; the benchmark plays many more of them."""

import math
import random
from bisect import bisect_right
from collections import Counter
from dataclasses import replace
from itertools import accumulate

import pytest

from benchlore.book.model import Compare, Outcome, frozen_map
from benchlore.diagnosis.likelihood import (
    BLUNDER,
    HEALTHY,
    Band,
    band_density,
    class_of,
    class_table,
    meaningless_classes,
    scale_of,
)
from benchlore.diagnosis.meter import standard_uncertainty
from benchlore.diagnosis.plan import Node, plan
from benchlore.diagnosis.posterior import Evidence, posterior
from benchlore.diagnosis.reading import Reading
from benchlore.diagnosis.simulate import Draw, Job, jobs, minutes_of, pick, reliability, sums_of
from benchlore.quantity import parse_quantity
from tests.books import example
from tests.diagnosis.cases import case
from tests.parts import Library

numpy, stats = Library("numpy"), Library("scipy.stats")

SYMPTOM = "pack-not-seen"
COUNT = 4000


@pytest.fixture(scope="module")
def played():
    known = case("siskin-12")
    trees = {SYMPTOM: plan(known, SYMPTOM, steps=100).tree}
    return known, trees, list(jobs(known, trees, COUNT, seed=5))


def test_hidden_faults_follow_the_posterior_of_the_symptom(played):
    known, _, done = played
    drawn = Counter(job.hidden for job in done)
    expected = [p * COUNT for p in posterior(known, Evidence((SYMPTOM,)))]
    rare = sum(e for e in expected if e < 5)
    observed = [drawn[h] for h, e in enumerate(expected) if e >= 5]
    wanted = [e for e in expected if e >= 5]
    if rare:
        observed.append(COUNT - sum(observed))
        wanted.append(rare)
    assert stats.chisquare(observed, wanted).pvalue > 1e-3


def test_minutes_agree_with_what_the_plan_expects(played):
    _, trees, done = played
    found = minutes_of(done, trees)
    assert abs(found.realised - found.expected) < 4 * found.error


def test_stated_probabilities_come_true(played):
    known, _, done = played
    for decile in reliability(known, done):
        error = (decile.stated * (1 - decile.stated) / decile.count) ** 0.5
        assert abs(decile.stated - decile.true) < 0.02 + 4 * error


def test_what_is_stated_is_what_the_ranking_states(played):
    known, _, done = played
    stated: dict[int, list[float]] = {}
    for job in done[:60]:
        for taken in range(1, len(job.readings) + 1):
            for p in posterior(known, Evidence((SYMPTOM,), job.readings[:taken])):
                stated.setdefault(int(p * 10), []).append(p)
    found = {round(one.low * 10): one for one in reliability(known, done[:60])}
    assert {i: one.count for i, one in found.items()} == {i: len(own) for i, own in stated.items()}
    for i, own in stated.items():
        assert found[i].stated == pytest.approx(math.fsum(own) / len(own), rel=1e-9)


def test_same_seed_same_jobs(played):
    known, trees, done = played
    assert list(jobs(known, trees, 50, seed=5)) == done[:50]


def test_pick_follows_its_weights():
    chance = random.Random(1)
    drawn = Counter(pick(chance, sums_of((0.5, 0.25, 0.25))) for _ in range(8000))
    assert stats.chisquare([drawn[i] for i in range(3)], [4000, 2000, 2000]).pvalue > 1e-3


def test_readings_fall_between_two_outcomes_as_often_as_the_plan_expects():
    """A plan weighs what is taken for the neighbour of an outcome; simulated readings must do the same."""
    known = case("siskin-12")
    draw, bench = Draw(known, random.Random(3)), known.bench
    expected = seen = 0.0
    for measure, table in zip(bench.measures, bench.tables, strict=True):
        scale = known.scales[measure]
        for hidden in range(len(bench.faults)):
            shares = [
                sum(known.columns.shares[c] * table[o][c] for c in known.columns.at(hidden))
                for o in range(scale.size)
            ]
            certain = max(range(scale.size), key=lambda o: shares[o])
            expected += 60 * shares[certain]
            seen += sum(
                class_of(scale, draw.reading(measure, draw.way(hidden))) == certain for _ in range(60)
            )
    assert seen == pytest.approx(expected, rel=0.003)


def job(minutes: float, hidden: int = 0, *readings: Reading) -> Job:
    return Job(SYMPTOM, hidden, minutes, None, readings)


def test_minutes_by_hand():
    """Expected 10; 8, 12 and 13 minutes were spent: 1 more in the mean, give or take sqrt(7 / 3)."""
    tree = Node("escalate", "", 1.0, 10.0, 10.0)
    found = minutes_of([job(8.0), job(12.0), job(13.0)], {SYMPTOM: tree})
    assert (found.jobs, found.expected) == (3, 10.0)
    assert found.realised == pytest.approx(11.0)
    assert found.error == pytest.approx(math.sqrt((9 + 1 + 4) / 2 / 3))
    assert minutes_of([job(8.0)], {SYMPTOM: tree}).error == 0.0, "one job has no spread"


def test_reliability_counts_every_hypothesis_after_every_reading():
    """One reading that names an outcome: what is stated after it, and what was true, decile by decile."""
    known = case("siskin-12")
    measure = "pack-connector-look"
    outcome = known.scales[measure].bands[0].outcome
    reading = Reading(measure, outcome, outcome=outcome)
    stated = posterior(known, Evidence((SYMPTOM,), (reading,)))
    hidden = max(range(len(stated)), key=lambda h: stated[h])
    found = reliability(known, [job(1.0, hidden, reading), job(1.0, hidden)])
    assert sum(d.count for d in found) == len(stated)
    for decile in found:
        inside = [p for p in stated if decile.low <= p < decile.low + 0.1 or (decile.low == 0.9 and p == 1)]
        assert decile.count == len(inside)
        assert decile.stated == pytest.approx(sum(inside) / len(inside), abs=1e-6)
        assert decile.true == (1 / len(inside) if stated[hidden] in inside else 0.0)


def test_readings_of_an_outcome_lie_as_the_model_says():
    """With `scipy.stats.kstest`, against the density that the ranking reads them by, integrated."""
    known = case("siskin-12")
    scale = known.scales["main-rail-adapter"]
    for index in scale.order:
        band, draw = scale.bands[index], Draw(known, random.Random(index))
        drawn = [draw._of_outcome(scale, index) for _ in range(3000)]
        over = sum(reading.value is None for reading in drawn)
        assert stats.binomtest(over, 3000, band.over).pvalue > 1e-3 if band.over else over == 0
        values = [reading.value for reading in drawn if reading.value is not None]
        ends = band.floor - band.under - 1, band.ceiling + band.beyond + 1
        step = (ends[1] - ends[0]) / 20_000
        places = [ends[0] + step * (n + 0.5) for n in range(20_000)]
        of = Band("x", band.floor, band.ceiling, band.floor, band.ceiling, 0.0, True, band.under, band.beyond)
        sums = list(
            accumulate(step * band_density(of, x, standard_uncertainty(scale.ranges, x)) for x in places)
        )
        assert sums[-1] == pytest.approx(1, abs=0.01)

        def share(values, places=places, sums=sums):
            found = [sums[min(bisect_right(places, x), len(sums) - 1)] / sums[-1] for x in values]
            return numpy.array(found)

        assert stats.kstest(values, share).pvalue > 1e-3, band.outcome


def test_two_readings_that_are_compared_are_drawn_where_such_a_pair_can_lie():
    """From 100 % below the other up, evenly as the density has it, and never over-range."""
    known = case("siskin-12")
    one = example().families["siskin-12"].measurements["pack-data-junction"]
    ends = {"low": "under -12 %", "normal": "-10 to 10 %", "high": "over 12 %"}
    made = {name: Outcome(id=name, range=parse_quantity(text)) for name, text in ends.items()}
    one = replace(one, compare=Compare(with_="J5_4", within=10.0), outcomes=frozen_map(made), healthy=None)
    scale = scale_of(one, example().meters["hand-held-3-half"])
    draw = Draw(known, random.Random(8))
    for name, low, high in (("low", -100, -12), ("high", 12, 1000)):
        index = list(ends).index(name)
        drawn = [draw._of_outcome(scale, index).value for _ in range(2000)]
        values = [value for value in drawn if value is not None and -100 <= value <= 1000]
        assert len(values) == 2000
        middle = (low + high) / 2
        assert stats.binomtest(sum(v < middle for v in values), 2000, 0.5).pvalue > 1e-3
    nothing = [draw._meaningless(scale).value for _ in range(2000)]
    assert all(value is not None and -100 <= value <= 1000 for value in nothing)


def test_what_something_else_at_fault_reads_is_healthy_in_seven_of_ten():
    """And the rest as a reading that means nothing; a known fault is misread in one of fifty."""
    known = case("siskin-12")
    scale = known.scales["main-rail-adapter"]
    draw, table = Draw(known, random.Random(6)), class_table(scale)
    nothing = meaningless_classes(scale, table)
    other = len(known.faults)
    drawn = Counter(class_of(scale, draw.reading(scale.measure, draw.way(other))) for _ in range(6000))
    healthy = [sum(table[i][j] for i in scale.normal) / len(scale.normal) for j in range(scale.size)]
    for j in range(scale.size):
        share = HEALTHY * healthy[j] + (1 - HEALTHY) * nothing[j]
        assert drawn[j] / 6000 == pytest.approx(share, abs=4 * math.sqrt(share / 6000))
    row = known.expected[scale.measure][0]
    drawn = Counter(class_of(scale, draw.reading(scale.measure, 0)) for _ in range(6000))
    for j in range(scale.size):
        own = sum(p * table[i][j] for i, p in enumerate(row))
        share = (1 - BLUNDER) * own + BLUNDER * nothing[j]
        assert drawn[j] / 6000 == pytest.approx(share, abs=4 * math.sqrt(share / 6000))


def test_pick_never_leaves_its_list():
    class Most(random.Random):
        def random(self) -> float:
            return 1.0

    assert pick(Most(), sums_of((0.5, 0.5))) == 1
    assert sums_of((1.0, 2.0, 3.0)) == (1.0, 3.0, 6.0)
