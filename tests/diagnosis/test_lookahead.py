"""Looking ahead: what is left out never matters, and a deeper look is never worse."""

import math
import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchlore.diagnosis.lookahead import (
    after_failed_fix,
    best_ratio,
    choices,
    look_at,
    start,
    value,
    without_measuring,
)
from benchlore.diagnosis.minutes import ratio_order
from benchlore.diagnosis.optimum import TooLargeError, least_minutes
from benchlore.diagnosis.plan import fix_order, grow, grow_from
from tests.diagnosis.benches import random_bench

SEEDS = st.integers(0, 10_000)
SHARES = st.lists(st.floats(0, 1), min_size=7, max_size=7).filter(lambda weights: sum(weights) > 1e-6)


@given(SEEDS, SHARES)
def test_hopeless_fixes_are_in_no_best_order(seed, weights):
    """Where each mends its own fault alone."""
    bench, _ = random_bench(seed)
    best, _ = ratio_order(weights, bench.fix_minutes, bench.escalate)
    assert without_measuring(look_at(bench), weights) == pytest.approx(best)


def overlapping(seed, bench):
    """Some fixes mend more than their own fault."""
    chance = random.Random(seed)
    mends = {i: {i, *chance.sample(range(6), chance.randint(0, 3))} for i in range(6)}
    return replace(bench, mends={i: tuple(sorted(own)) for i, own in mends.items() if len(own) > 1})


@pytest.mark.slow
@given(SEEDS, st.booleans())
def test_deeper_is_never_worse_and_never_below_the_optimum(seed, several):
    bench, weights = random_bench(seed, measures=3)
    bench = overlapping(seed, bench) if several else bench
    look, begin = look_at(bench), start(bench, weights)
    ahead = [value(look, begin, depth) for depth in range(4)]
    assert ahead == sorted(ahead, reverse=True)
    assert ahead[-1] >= least_minutes(bench, weights) - 1e-9


@pytest.mark.slow
@given(SEEDS)
def test_the_first_choice_is_the_least_and_can_be_carried_out(seed):
    """A plan costs no more than the first look at its first step promised, but for the faults that it no
    longer tells apart (one in 10,000)."""
    bench, weights = random_bench(seed)
    minutes = [choice.expected for choice in choices(look_at(bench), start(bench, weights), 1)]
    assert minutes == pytest.approx(sorted(minutes))
    assert minutes[0] <= fix_order(bench, weights).expected + 1e-6
    assert grow(bench, weights).expected <= minutes[0] * 1.0002


def test_optimum_from_a_plan_at_hand_is_the_same():
    bench, weights = random_bench(3)
    assert least_minutes(bench, weights, grow(bench, weights).expected) == pytest.approx(
        least_minutes(bench, weights)
    )


def test_too_large_a_bench_is_refused():
    bench, weights = random_bench(5)
    with pytest.raises(TooLargeError):
        least_minutes(bench, weights, most=10)


@given(SEEDS, SHARES, st.integers(0, 63), st.booleans())
def test_without_measuring_the_plan_costs_what_the_look_says(seed, weights, locked, several):
    """Whatever fixes may not be tried, and whatever they mend."""
    bench, _ = random_bench(seed)
    if several:  # of a fault that is rarer the plan no longer knows the fix
        bench = overlapping(seed, bench)
        weights = [w if w > 1e-3 * sum(weights) else 0.0 for w in weights]
    place = replace(start(bench, weights), locked=locked)
    expected = grow_from(bench, place, steps=0).expected * math.fsum(weights)
    least = without_measuring(look_at(bench), tuple(weights), locked)
    assert expected == pytest.approx(least, rel=1e-3), "what is rarer than one in 10,000 is left out"


@given(SEEDS)
def test_a_look_of_two_counts_the_best_fix_and_what_follows_it(seed):
    bench, weights = random_bench(seed, measures=0)
    look, place = look_at(bench), start(bench, weights)
    i = best_ratio(look, place)
    first = bench.fix_minutes[i] * math.fsum(weights)
    follows = value(look, after_failed_fix(bench, place, i), 1)
    assert value(look, place, 2) == pytest.approx(min(without_measuring(look, weights), first + follows))
