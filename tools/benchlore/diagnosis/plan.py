"""The plan: what to do, and what to do after each outcome, down to a proved fix or escalation."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from math import fsum

from benchlore.diagnosis.at_once import Sheet, best, sheet_of
from benchlore.diagnosis.case import Bench, Case
from benchlore.diagnosis.lookahead import (
    Choice,
    Kind,
    Look,
    Place,
    after_failed_fix,
    after_outcome,
    among_likely,
    look_at,
    start,
)
from benchlore.diagnosis.minutes import ratio_order
from benchlore.diagnosis.posterior import Evidence, joint
from benchlore.diagnosis.ways import folded

STEPS = 400  # of a tree, at most; the likeliest are settled first
DEPTHS = ((0.25, 3), (0.02, 2), (0.0, 1))  # how many actions to look ahead, by the reach of the step
FEW = 40  # hypotheses up to which three are looked at: among more it costs twice the time and saves 0.3 %
RARE = 1e-4  # share of the jobs below which a branch is not measured further
NAMED = 0.5  # probability above which an escalation names what is at fault


@dataclass(frozen=True, slots=True)
class Branch:
    """One outcome of a measurement: its probability at that step, and what follows."""

    outcome: str
    probability: float
    then: Node


@dataclass(frozen=True, slots=True)
class Node:
    """One step of a plan.

    `id`: the measurement or fault; of an escalation the fault that it most likely is and whose fix costs no
    less, or empty. `reach`: share of the jobs that come here. `minutes`: of this action. `expected`: minutes
    from here to the end. `success`: probability that the fix mends the board, or that the fault is the one
    that an escalation names. `branches`: of a measurement; `failed`: what follows a fix whose proof does not
    read normal; `also`: what else the fix mends, with the probability of each."""

    kind: Kind
    id: str
    reach: float
    minutes: float
    expected: float
    success: float = 0.0
    branches: tuple[Branch, ...] = ()
    failed: Node | None = None
    also: tuple[tuple[str, float], ...] = ()


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


def plan(case: Case, symptom: str, steps: int = STEPS) -> Plan:
    """The plan of a symptom. Raises KeyError when the book has no such symptom; see `posterior.evidence`."""
    probabilities = joint(case, Evidence((symptom,)))
    here = start(case.bench, probabilities, rails_first=symptom in case.ohms_first, symptoms=(symptom,))
    tree = grow_from(case.bench, here, steps)
    return Plan(case.family, symptom, tree, fix_order(case.bench, probabilities))


def fix_order(bench: Bench, probabilities: Sequence[float]) -> FixOrder:
    """The order of fixes without measuring, hot ones too: what it costs to guess."""
    weights = folded(probabilities, bench.extra)
    minutes, order = ratio_order(weights, bench.fix_minutes, bench.escalate, bench.mends)
    return FixOrder(tuple(bench.faults[i] for i in order), minutes)


def grow(
    bench: Bench,
    probabilities: Sequence[float],
    steps: int = STEPS,
    rare: float = RARE,
    *,
    rails_first: bool = False,
) -> Node:
    """The tree that takes the best choice at every step; `rails_first`: it measures the supply rails before a
    source goes in.
    """
    return grow_from(bench, start(bench, probabilities, rails_first=rails_first), steps, rare)


def grow_from(
    bench: Bench, place: Place, steps: int = STEPS, rare: float = RARE, before: Sequence[float] = ()
) -> Node:
    """The tree from a place on; `before`: the weights before any reading, where it is not the first.

    Steps are settled in order of their reach, the likeliest first, until `steps` are settled or the reach
    falls below `rare`. In the branches left, nothing more is measured: the fixes are tried in order, or the
    job is escalated. The tree says exactly what that costs."""
    look = look_at(bench, before or place.weights)
    begin = _Step(look, sheet_of(look), place, range(len(bench.faults)))
    waiting = [(-begin.reach, 0, begin)]
    settled = 0
    while waiting and settled < steps and -waiting[0][0] >= rare:
        _, _, step = heappop(waiting)
        step.settle()
        for child in step.children:
            settled += 1
            heappush(waiting, (-child.reach, settled, child))
    return begin.node()


class _Step:
    """A step of a growing tree; unsettled, it measures nothing more."""

    def __init__(self, look: Look, sheet: Sheet, place: Place, known: Sequence[int]) -> None:
        self.look, self.sheet = look, sheet
        self.place, self.known = _without_unlikely(place, known, look.bench.extra)
        self.reach = fsum(place.weights)
        self.choice: Choice | None = None
        self.children: tuple[_Step, ...] = ()

    def settle(self) -> None:
        """Choose, and open the steps that follow."""
        bench, place = self.look.bench, self.place
        self.sheet = self.sheet.of(self.known)
        depth = next(depth for reach, depth in DEPTHS if self.reach >= reach)
        depth = min(depth, 3 if len(self.known) <= FEW else 2)
        chosen = self.choice = best(self.look, self.sheet, place, depth)
        places: list[Place] = []
        if chosen.kind == "fix":
            places = [after_failed_fix(bench, place, chosen.index)]
        elif chosen.kind == "measure":
            outcomes = range(len(bench.outcomes[chosen.index]))
            places = [after_outcome(bench, place, chosen.index, o) for o in outcomes]
        self.children = tuple(_Step(self.look, self.sheet, after, self.known) for after in places)

    def node(self) -> Node:
        """The tree from here, as it stands."""
        bench, chosen = self.look.bench, self.choice
        if chosen is None:
            return _in_order(self.look, self.place)
        after = [child.node() for child in self.children]
        if chosen.kind == "fix":
            return _fix(bench, folded(self.place.weights, bench.extra), chosen.index, after[0])
        if chosen.kind == "escalate":
            return _escalate(self.look, folded(self.place.weights, bench.extra))
        branches = tuple(
            Branch(outcome, then.reach / self.reach, then)
            for outcome, then in zip(bench.outcomes[chosen.index], after, strict=True)
        )
        expected = chosen.minutes + fsum([branch.probability * branch.then.expected for branch in branches])
        name = bench.measures[chosen.index]
        return Node("measure", name, self.reach, chosen.minutes, expected, 0.0, branches)


def _in_order(look: Look, place: Place) -> Node:
    """The fix order without measuring, then escalation."""
    bench, left, steps = look.bench, list(folded(place.weights, look.bench.extra)), []
    order = _order(look, place)
    for i in order:
        steps.append((tuple(left), i))
        for h in bench.mended_by(i):
            left[h] = 0.0
    node = _escalate(look, left)
    for before, i in reversed(steps):
        node = _fix(bench, before, i, node)
    return node


def _order(look: Look, place: Place) -> tuple[int, ...]:
    """The order of the fixes that may be tried, and are not hopeless."""
    bench, weights = look.bench, folded(place.weights, look.bench.extra)
    may = [i for i in look.worth(weights, place.locked) if not look.unread(place, i)]
    _, order = ratio_order(weights, bench.fix_minutes, bench.escalate, bench.mends, may)
    return order


def _fix(bench: Bench, weights: Sequence[float], fault: int, failed: Node) -> Node:
    reach, minutes, mended = fsum(weights), bench.fix_minutes[fault], bench.mended_by(fault)
    success = fsum([weights[h] for h in mended]) / reach
    expected = minutes + (1 - success) * failed.expected
    also = tuple((bench.faults[h], weights[h] / reach) for h in mended if h != fault and weights[h] > 0)
    return Node("fix", bench.faults[fault], reach, minutes, expected, success, (), failed, also)


def _escalate(look: Look, weights: Sequence[float]) -> Node:
    """Escalation, with the name of the fault that it most likely is, where mending that costs no less."""
    bench = look.bench
    reach, minutes = fsum(weights), bench.escalate
    for fault, weight, needs in zip(bench.faults, weights, look.floors, strict=False):
        if weight > NAMED * reach and needs >= minutes:
            return Node("escalate", fault, reach, minutes, minutes, weight / reach)
    return Node("escalate", "", reach, minutes, minutes)


def _without_unlikely(
    place: Place, known: Sequence[int], extra: Sequence[int]
) -> tuple[Place, Sequence[int]]:
    """The same job without those of some faults that have become unlikely, and the others, where a third or
    more of them have.
    """
    found, live = among_likely(place, known, extra)
    return (place, known) if len(live) > len(known) * 2 / 3 else (found, live)


def nodes(tree: Node) -> Iterator[Node]:
    """Every step of a plan, from the root down, outcomes in their order."""
    yield tree
    for branch in tree.branches:
        yield from nodes(branch.then)
    if tree.failed is not None:
        yield from nodes(tree.failed)
