"""Which test first: the six-state, five-test example of Pattipati and Alexandridis, "Application of heuristic
search and information theory to sequential fault diagnosis", IEEE Transactions on Systems, Man, and
Cybernetics 20(4), 1990.

The table is from memory, the costs are computed. Every test costs one; isolation is demanded by a fix that
costs 1,000 and an escalation that costs a million, so what is above 1,000 is the expected number of tests.
"""

import math
from collections.abc import Sequence

import pytest

from benchlore.diagnosis.case import Bench
from benchlore.diagnosis.optimum import least_minutes
from benchlore.diagnosis.plan import grow

FIX = 1000.0
STATES = ("00000", "01001", "00110", "10011", "11000", "11110")
SIX = (0.70, 0.01, 0.02, 0.10, 0.05, 0.12)
FIVE = (0.70, 0.01, 0.02, 0.10, 0.17)


def bench(rows: Sequence[str]) -> Bench:
    tests = range(len(rows[0]))
    tables = tuple(
        tuple((*(float(row[t] == outcome) for row in rows), 0.5) for outcome in "01") for t in tests
    )
    return Bench(
        faults=tuple(f"s{i}" for i in range(len(rows))),
        fix_minutes=(FIX,) * len(rows),
        measures=tuple(f"t{t + 1}" for t in tests),
        outcomes=(("pass", "fail"),) * len(rows[0]),
        tables=tables,
        measure_minutes=(1.0,) * len(rows[0]),
        measure_setup=(0,) * len(rows[0]),
        change=((0.0,),),
        escalate=1e6,
    )


def entropy(weights: Sequence[float]) -> float:
    total = sum(weights)
    return -sum(w / total * math.log2(w / total) for w in weights if w > 0)


def gain(rows: Sequence[str], weights: Sequence[float], test: int) -> float:
    """Information gain of a test in bits: its outcomes are certain, so it is the entropy of the outcome."""
    failing = sum(w for row, w in zip(rows, weights, strict=True) if row[test] == "1")
    return entropy((failing, sum(weights) - failing))


def greedy(rows: Sequence[str], weights: Sequence[float]) -> float:
    """Expected tests, times the weights' sum, when each step takes the largest gain."""
    if len(rows) < 2:
        return 0.0
    best = max(range(len(rows[0])), key=lambda t: gain(rows, weights, t))
    parts = [[i for i, row in enumerate(rows) if row[best] == outcome] for outcome in "01"]
    return sum(weights) + sum(greedy([rows[i] for i in part], [weights[i] for i in part]) for part in parts)


def huffman(weights: Sequence[float]) -> float:
    """Least expected number of yes-no questions when every question can be asked."""
    heap, cost = sorted(weights), 0.0
    while len(heap) > 1:
        merged = heap[0] + heap[1]
        cost += merged
        heap = sorted([*heap[2:], merged])
    return cost


CASES = [
    pytest.param(STATES, SIX, 1.454874, 1.59, 2.18, 2.86, id="g1"),
    pytest.param(STATES[:5], FIVE, 1.306297, 1.46, 2.12, 2.71, id="g2"),
]


@pytest.mark.parametrize(("rows", "weights", "bits", "bound", "optimum", "by_gain"), CASES)
def test_optimum_and_greedy_gain(rows, weights, bits, bound, optimum, by_gain):
    assert entropy(weights) == pytest.approx(bits, abs=1e-6)
    assert huffman(weights) == pytest.approx(bound)
    assert greedy(rows, weights) == pytest.approx(by_gain)
    assert least_minutes(bench(rows), (*weights, 0.0)) - FIX == pytest.approx(optimum, abs=1e-6)


@pytest.mark.parametrize(("rows", "weights", "bits", "bound", "optimum", "by_gain"), CASES)
def test_plan_is_better_than_greedy_gain(rows, weights, bits, bound, optimum, by_gain):
    tests = grow(bench(rows), (*weights, 0.0), rare=0.0).expected - FIX
    assert optimum - 1e-6 <= tests <= 1.05 * optimum
    assert tests < by_gain


def test_g1_gains():
    """Published to six decimals (from memory, computed)."""
    gains = [gain(STATES, SIX, t) for t in range(5)]
    assert gains == pytest.approx([0.841465, 0.680077, 0.584239, 0.795040, 0.499916], abs=5e-7)
