"""Simulated jobs follow the model; the benchmark plays many more of them."""

import random
from collections import Counter

import pytest

from benchlore.diagnosis.likelihood import class_of
from benchlore.diagnosis.plan import plan
from benchlore.diagnosis.posterior import Evidence, posterior
from benchlore.diagnosis.simulate import Draw, jobs, minutes_of, pick, reliability, sums_of
from tests.diagnosis.cases import case
from tests.parts import Library

stats = Library("scipy.stats")

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
            certain = max(range(scale.size), key=lambda o: table[o][hidden])
            expected += 60 * table[certain][hidden]
            seen += sum(class_of(scale, draw.reading(measure, hidden)) == certain for _ in range(60))
    assert seen == pytest.approx(expected, rel=0.003)
