"""A plan as lines, one a step, indented below the step that leads there; rare branches are folded.

The tree of a plan has hundreds of steps, most of them hardly ever reached. The outline shows the likeliest
steps that fit a sheet of paper and names the outcomes whose steps it leaves out.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import count
from math import fsum

from benchlore.diagnosis.plan import Branch, Node

LONGEST = 24  # steps
RARE = 0.015  # share of jobs below which a step is folded in any case


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a plan.

    `depth`: measurements above it. `indent`: the same without those that lead straight on; enough for a
    drawing, which shows what leads where. `parent`: number of the line that leads here, None for the first.
    `outcomes`: of the measurement above that lead here; empty for the first step and for what follows a fix
    that does not help (`after_fix`). `share`: of the jobs that come here. `step`: what to do; None for the
    line that stands for folded outcomes. `last`: a measurement none of whose outcomes is shown.
    """

    depth: int
    indent: int
    parent: int | None
    outcomes: tuple[str, ...]
    share: float
    step: Node | None
    after_fix: bool = False
    last: bool = False


@dataclass(frozen=True, slots=True)
class Outline:
    """The lines of a plan, and the share of jobs that ends in a step that is shown."""

    lines: tuple[Line, ...]
    ends_shown: float


@dataclass(frozen=True, slots=True)
class Turn:
    """A step on the way to a fix: a measurement with its outcome, or another fix that does not help."""

    step: Node
    outcome: str | None


@dataclass(frozen=True, slots=True)
class Way:
    """How a plan reaches a fault's fix most often, or the escalation that names it.

    `turns` lead to `fix`. `minutes`: of the turns and the fix with its proof. `share`: of the jobs with this
    fault that the plan mends, or names, those that go this way.
    """

    turns: tuple[Turn, ...]
    fix: Node
    minutes: float
    share: float

    @property
    def before(self) -> float:
        """Minutes before the fix."""
        return self.minutes - self.fix.minutes


def outline(tree: Node, longest: int = LONGEST, rare: float = RARE) -> Outline:
    """The likeliest steps of a plan, at most `longest`, as lines, and lines that stand for the rest."""
    shown = _likeliest(tree, longest, rare)
    lines: list[Line] = []
    ends = 0.0

    def walk(step: Node, line: Line) -> None:
        nonlocal ends
        number = len(lines)
        lines.append(line)
        ends += step.reach * (1.0 if step.kind == "escalate" else step.success)
        following = [same for same in _branches(step) if id(same[0].then) in shown]
        folded = [b for same in _branches(step) if id(same[0].then) not in shown for b in same]
        onward = [same for same in following if not _ends(same[0].then, shown)]
        straight = onward[0] if len(onward) == 1 else None
        for same in following:
            if same is not straight:
                branch(same, line, number, line.indent + 1)
        if folded and not line.last:
            names, share = tuple(b.outcome for b in folded), fsum(b.then.reach for b in folded)
            lines.append(Line(line.depth + 1, line.indent + 1, number, names, share, None))
        if straight:
            branch(straight, line, number, line.indent)
        if step.failed is not None and id(step.failed) in shown:
            then = step.failed
            last = _is_last(then, shown)
            walk(then, Line(line.depth, line.indent, number, (), then.reach, then, after_fix=True, last=last))

    def branch(same: list[Branch], line: Line, number: int, indent: int) -> None:
        then, names = _together(same), tuple(b.outcome for b in same)
        last = _is_last(then, shown)
        walk(then, Line(line.depth + 1, indent, number, names, then.reach, then, last=last))

    walk(tree, Line(0, 0, None, (), tree.reach, tree, last=_is_last(tree, shown)))
    return Outline(tuple(lines), ends)


def _ends(step: Node, shown: frozenset[int]) -> bool:
    """True when no step after this one is shown."""
    failed = step.failed is not None and id(step.failed) in shown
    return not failed and not any(id(branch.then) in shown for branch in step.branches)


def _is_last(step: Node, shown: frozenset[int]) -> bool:
    return bool(step.branches) and _ends(step, shown)


def _likeliest(tree: Node, longest: int, rare: float) -> frozenset[int]:
    """Identities of the steps to show: the most often reached ones; a step is never reached oftener than its
    parent."""
    order = count()
    waiting = [(-tree.reach, next(order), tree)]
    shown: set[int] = set()
    while waiting and len(shown) < longest:
        _, _, step = heapq.heappop(waiting)
        shown.add(id(step))
        following = [same[0].then for same in _branches(step)]
        if step.failed is not None:
            following.append(step.failed)
        for then in following:
            if then.reach >= rare:
                heapq.heappush(waiting, (-then.reach, next(order), then))
    return frozenset(shown)


def _branches(step: Node) -> list[list[Branch]]:
    """The outcomes of a measurement, likeliest first; those that escalate at once stand together, last, but
    for those that name a fault.
    """
    ranked = sorted(step.branches, key=lambda branch: -branch.probability)
    alone = [[branch] for branch in ranked if branch.then.kind != "escalate" or branch.then.id]
    given_up = [branch for branch in ranked if branch.then.kind == "escalate" and not branch.then.id]
    return [*alone, given_up] if given_up else alone


def _together(same: list[Branch]) -> Node:
    first = same[0].then
    if len(same) == 1:
        return first
    return Node("escalate", "", fsum(b.then.reach for b in same), first.minutes, first.expected)


def ways(tree: Node) -> Mapping[str, Way]:
    """By fault, the way that most of its jobs take through a plan, to its own fix or one that mends it, too;
    none for one that is never tried nor named.
    """
    best: dict[str, tuple[float, tuple[Turn, ...], Node]] = {}
    mended: dict[str, float] = {}
    for turns, fix in _ways(tree, ()):
        own = fix.success - fsum([p for _, p in fix.also])
        for name, p in ((fix.id, own), *fix.also):
            share = fix.reach * p
            mended[name] = mended.get(name, 0.0) + share
            if name not in best or share > best[name][0]:
                best[name] = share, turns, fix
    return {
        name: Way(
            turns,
            fix,
            fsum(turn.step.minutes for turn in turns) + fix.minutes,
            share / mended[name] if mended[name] > 0 else 0.0,
        )
        for name, (share, turns, fix) in best.items()
    }


def _ways(step: Node, turns: tuple[Turn, ...]) -> Iterator[tuple[tuple[Turn, ...], Node]]:
    if step.kind == "fix":
        yield turns, step
        if step.failed is not None:
            yield from _ways(step.failed, (*turns, Turn(step, None)))
    elif step.kind == "escalate" and step.id:
        yield turns, step
    for branch in step.branches:
        yield from _ways(branch.then, (*turns, Turn(step, branch.outcome)))
