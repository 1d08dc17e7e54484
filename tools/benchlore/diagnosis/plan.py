"""The plan: what to do, and what to do after each outcome, down to a proved fix or escalation."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from benchlore.diagnosis.case import Bench, Case
from benchlore.diagnosis.minutes import ratio_order
from benchlore.diagnosis.posterior import Evidence, posterior
from benchlore.diagnosis.search import (
    Choice,
    Kind,
    Look,
    Place,
    after_failed_fix,
    after_outcome,
    choices,
    look_at,
    start,
)

PLAN_EFFORT = 2e6
UNLIKELY = 1e-4  # probability below which the plan no longer tells a fault from one that is not in the book
RARE = 0.005  # share of jobs below which a branch is not measured further: fix in order, or escalate


@dataclass(frozen=True, slots=True)
class Branch:
    """One outcome of a measurement: its probability at that step, and what follows."""

    outcome: str
    probability: float
    then: Node


@dataclass(frozen=True, slots=True)
class Node:
    """One step of a plan.

    `id`: the measurement or fault, empty for escalation. `reach`: share of the jobs that come here.
    `minutes`: of this action. `expected`: minutes from here to the end. `success`: probability that the fix
    mends the board. `branches`: of a measurement; `failed`: what follows a fix whose proof does not read
    normal."""

    kind: Kind
    id: str
    reach: float
    minutes: float
    expected: float
    success: float = 0.0
    branches: tuple[Branch, ...] = ()
    failed: Node | None = None


@dataclass(frozen=True, slots=True)
class FixOrder:
    """Fixing without measuring: the faults in order, escalation after them, and the expected minutes."""

    faults: tuple[str, ...]
    expected: float


@dataclass(frozen=True, slots=True)
class Plan:
    """The plan of a family and a symptom, beside fixing without measuring."""

    family: str
    symptom: str
    tree: Node
    guess: FixOrder

    @property
    def expected(self) -> float:
        """Expected bench minutes of the plan."""
        return self.tree.expected


def plan(case: Case, symptom: str, effort: float = PLAN_EFFORT) -> Plan:
    """The plan of a symptom. Raises KeyError when the book has no such symptom; see `posterior.evidence`."""
    probabilities = posterior(case, Evidence((symptom,)))
    return Plan(
        case.family, symptom, grow(case.bench, probabilities, effort), fix_order(case.bench, probabilities)
    )


def fix_order(bench: Bench, probabilities: Sequence[float]) -> FixOrder:
    """The best order of fixes without measuring."""
    minutes, order = ratio_order(probabilities, bench.fix_minutes, bench.escalate)
    return FixOrder(tuple(bench.faults[i] for i in order), minutes)


def grow(
    bench: Bench, probabilities: Sequence[float], effort: float = PLAN_EFFORT, rare: float = RARE
) -> Node:
    """The tree that follows the best choice at every step."""
    return _grow(look_at(bench), start(bench, probabilities), effort, rare)


def _grow(look: Look, place: Place, effort: float, rare: float) -> Node:
    look, place = _without_unlikely(look, place)
    bench = look.bench
    reach = sum(place.weights)
    if reach < rare:
        place = Place(place.weights, (), place.setup)
    best = choices(look, place, effort)[0]
    if best.kind == "escalate":
        return Node("escalate", "", reach, bench.escalate, bench.escalate)
    if best.kind == "fix":
        return _fix(look, place, best, effort, rare)
    return _measure(look, place, best, effort, rare)


def _without_unlikely(look: Look, place: Place) -> tuple[Look, Place]:
    """The same job without the faults that have become UNLIKELY; their weight counts as "not in the book"."""
    total = sum(place.weights)
    faults = len(look.bench.faults)
    live = [i for i in range(faults) if place.weights[i] > total * UNLIKELY]
    if len(live) > faults * 2 / 3:
        return look, place
    weights = [place.weights[i] for i in live]
    weights.append(total - sum(weights))
    return look_at(_with_faults(look.bench, live)), Place(tuple(weights), place.open, place.setup)


def _with_faults(bench: Bench, live: Sequence[int]) -> Bench:
    columns = (*live, len(bench.faults))
    return replace(
        bench,
        faults=tuple([bench.faults[i] for i in live]),
        fix_minutes=tuple([bench.fix_minutes[i] for i in live]),
        fix_setup=tuple([bench.fix_setup[i] for i in live]),
        tables=tuple([tuple([tuple([row[i] for i in columns]) for row in table]) for table in bench.tables]),
    )


def _fix(look: Look, place: Place, best: Choice, effort: float, rare: float) -> Node:
    bench, reach = look.bench, sum(place.weights)
    success = place.weights[best.index] / reach
    failed = _grow(look, after_failed_fix(bench, place, best.index), effort, rare)
    expected = best.minutes + (1 - success) * failed.expected
    return Node("fix", bench.faults[best.index], reach, best.minutes, expected, success, (), failed)


def _measure(look: Look, place: Place, best: Choice, effort: float, rare: float) -> Node:
    bench, reach = look.bench, sum(place.weights)
    branches = []
    expected = best.minutes
    for o, outcome in enumerate(bench.outcomes[best.index]):
        then = _grow(look, after_outcome(bench, place, best.index, o), effort, rare)
        branches.append(Branch(outcome, then.reach / reach, then))
        expected += then.reach / reach * then.expected
    return Node("measure", bench.measures[best.index], reach, best.minutes, expected, 0.0, tuple(branches))


def nodes(tree: Node) -> Iterator[Node]:
    """Every step of a plan, from the root down, outcomes in their order."""
    yield tree
    for branch in tree.branches:
        yield from nodes(branch.then)
    if tree.failed is not None:
        yield from nodes(tree.failed)
