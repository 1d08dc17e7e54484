"""A bench that the benchmarks narrow to some measurements names the same ones everywhere."""

from __future__ import annotations

from dataclasses import replace

from benchlore.diagnosis.lookahead import start
from benchmarks.diagnosis import narrowed
from tests.diagnosis.benches import random_bench


def test_what_comes_first_is_the_same_after_narrowing() -> None:
    bench, weights = random_bench(1, measures=6)
    every = tuple(range(6))
    bench = replace(bench, rails_first=every, down=every[::-1], before_power={"sparks-at-plug": every})
    small = narrowed(bench, weights, 3)
    left = [name for name in bench.measures if name in small.measures]
    assert len(left) == 3
    assert small.measures != bench.measures[:3], "the numbers of some change"
    for how in ({"rails_first": True}, {"symptoms": ("sparks-at-plug",)}):
        assert [small.measures[m] for m in start(small, weights, **how).first] == left
    assert [small.measures[m] for m in start(small, weights, unknown=True).down] == left[::-1]
