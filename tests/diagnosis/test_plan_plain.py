"""Every step of a plan beside its definition: whom it reaches, what it costs, and where it was cut off."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from benchlore.diagnosis import plan as plans
from benchlore.diagnosis.case import Bench
from benchlore.diagnosis.lookahead import UNLIKELY, Place, look_at, start
from benchlore.diagnosis.minutes import ratio_order
from benchlore.diagnosis.plan import Node, grow, grow_from, nodes
from tests.diagnosis.benches import random_bench


def near(value: float) -> Any:
    """But for what has become unlikely on the way, and counts as not in the book."""
    return pytest.approx(value, rel=1e-3)


def held(bench: Bench, node: Node, weights: tuple[float, ...], setup: int) -> int:
    """Whether a step is what its definition says; how many measurements are in the tree."""
    reach = math.fsum(weights)
    assert node.reach == near(reach)
    if node.kind == "escalate":
        cheap = {
            h for i, cost in enumerate(bench.fix_minutes) if cost < bench.escalate for h in bench.mended_by(i)
        }
        dear = [h for h in range(len(bench.faults)) if h not in cheap]
        named = next((h for h in dear if weights[h] > reach / 2), None)
        assert node.id == ("" if named is None else bench.faults[named])
        assert node.success == (0.0 if named is None else near(weights[named] / reach))
        assert (node.branches, node.failed) == ((), None)
        assert node.minutes == node.expected == bench.escalate
        return 0
    if node.kind == "fix":
        fault = bench.faults.index(node.id)
        assert node.minutes == bench.fix_minutes[fault]
        mended = bench.mended_by(fault)
        assert node.success == near(sum(weights[h] for h in mended) / reach)
        assert {name: near(p) for name, p in node.also} == {
            bench.faults[h]: weights[h] / reach
            for h in mended
            if h != fault and weights[h] > 2 * UNLIKELY * reach
        } | {name: p for name, p in node.also if p <= 2.1 * UNLIKELY}
        assert node.failed is not None
        assert node.expected == pytest.approx(node.minutes + (1 - node.success) * node.failed.expected)
        left = tuple(0.0 if h in mended else w for h, w in enumerate(weights))
        return held(bench, node.failed, left, 0)
    m = bench.measures.index(node.id)
    assert node.minutes == pytest.approx(
        bench.change[setup][bench.measure_setup[m]] + bench.measure_minutes[m]
    )
    count, later = 1, 0.0
    assert [branch.outcome for branch in node.branches] == list(bench.outcomes[m])
    for branch, row in zip(node.branches, bench.tables[m], strict=True):
        here = tuple(w * p for w, p in zip(weights, row, strict=True))
        assert branch.probability == near(math.fsum(here) / reach)
        later += branch.probability * branch.then.expected
        count += held(bench, branch.then, here, bench.measure_setup[m])
    assert node.expected == pytest.approx(node.minutes + later)
    return count


@pytest.mark.parametrize("seed", range(12))
def test_every_step_by_definition(seed: int) -> None:
    bench, weights = random_bench(seed, faults=7, measures=5)
    if seed % 2:
        bench = replace(bench, mends={0: (0, 1), 3: (3, 4, 5), 5: (2, 3, 5)})
    whole = grow(bench, weights)
    measured = held(bench, whole, weights, 0)
    assert whole.reach == pytest.approx(1)
    assert len(list(nodes(whole))) >= measured
    cut = grow(bench, weights, steps=3)
    assert held(bench, cut, weights, 0) <= measured
    assert cut.expected >= whole.expected - 1e-9
    nothing = grow(bench, weights, steps=0)
    assert held(bench, nothing, weights, 0) == 0
    order, _ = ratio_order(weights, bench.fix_minutes, bench.escalate, bench.mends)
    assert nothing.expected == pytest.approx(order)
    rare = grow(bench, weights, rare=1.01)
    assert rare == nothing, "what fewer jobs reach than that is not looked at"


def test_nothing_more_is_measured_after_so_many_steps_or_where_few_jobs_come() -> None:
    bench, weights = random_bench(5, faults=7, measures=5)
    whole = grow(bench, weights, steps=200, rare=0.0)
    for rare in (0.02, 0.1, 0.3):
        tree = grow(bench, weights, steps=200, rare=rare)
        assert held(bench, tree, weights, 0) <= held(bench, whole, weights, 0)
        assert all(node.reach >= rare for node in nodes(tree) if node.kind == "measure")


def test_a_cut_branch_tries_the_fixes_that_may_be_tried_in_the_best_order() -> None:
    bench, _ = random_bench(3, faults=4, measures=2)
    bench = replace(bench, fix_minutes=(10.0, 10.0, 10.0, 10.0), escalate=100.0)
    weights = (0.3, 0.4, 0.2, 0.05, 0.05)

    def tried(place: Place, of: Bench = bench) -> list[str]:
        return [node.id for node in nodes(plans._in_order(look_at(of), place))]

    place = start(bench, weights)
    assert tried(place) == ["f1", "f0", "f2", "f3", ""]
    assert tried(replace(place, locked=0b10)) == ["f0", "f2", ""]
    asked = replace(bench, checks={0: (1,)})
    assert tried(place, asked) == ["f1", "f2", "f3", ""], "what is checked first is not tried before it"
    assert tried(replace(place, open=(0,)), asked) == ["f1", "f0", "f2", "f3", ""]


def test_what_has_become_unlikely_counts_as_not_in_the_book() -> None:
    """Of six faults; the fourth has a second way of failing, and so has something else."""
    bench, _ = random_bench(4, faults=6, measures=3)
    rare = UNLIKELY / 2
    weights = (rare, 0.4, rare, 0.2, rare, 0.2, 0.08, 0.02, 0.1)
    place = replace(start(bench, weights), locked=0b101010, shut=0b100000, open=(0, 2))
    found, known = plans._without_unlikely(place, range(6), (3, 6))
    assert list(known) == [1, 3, 5]
    assert found.weights == pytest.approx((0.0, 0.4, 0.0, 0.2, 0.0, 0.2, 0.08, 0.02, 0.1 + 3 * rare))
    assert replace(found, weights=weights) == place
    dropped = (rare, 0.4, rare, rare / 2, rare, 0.2, rare / 4, 0.02, 0.3)
    found, known = plans._without_unlikely(replace(place, weights=dropped), range(6), (3, 6))
    assert list(known) == [1, 5]
    assert found.weights[6] == 0.0, "with its fault goes its other way"
    assert found.weights[7] == 0.02
    assert math.fsum(found.weights) == pytest.approx(math.fsum(dropped))


@pytest.mark.parametrize(("rare", "fewer"), [(1, False), (2, True), (3, True)])
def test_only_where_a_third_of_the_faults_is_unlikely(rare: int, fewer: bool) -> None:
    bench, _ = random_bench(4, faults=6, measures=3)
    weights = (*(UNLIKELY / 2 if i < rare else 0.1 for i in range(6)), 0.5)
    place = start(bench, weights)
    found, known = plans._without_unlikely(place, range(6), ())
    assert (len(known) < 6) == fewer
    assert fewer or found is place


def test_a_tree_from_a_place_keeps_what_is_locked() -> None:
    bench, weights = random_bench(8, faults=5, measures=4)
    place = replace(start(bench, weights), locked=0b11111)
    tree = grow_from(bench, place)
    assert {node.kind for node in nodes(tree)} <= {"measure", "escalate"}
