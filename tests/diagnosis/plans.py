"""What every plan must keep."""

from __future__ import annotations

import math
from collections.abc import Iterator

from benchlore.book.model import Book, Family
from benchlore.diagnosis.case import Case
from benchlore.diagnosis.minutes import is_hot
from benchlore.diagnosis.plan import Node

_Read = tuple[tuple[str, str], ...]


def _close(one: float, other: float) -> bool:
    """As `pytest.approx`, in a tenth of its time: plans have thousands of steps."""
    return math.isclose(one, other, rel_tol=1e-6, abs_tol=1e-12)


def consistent(node: Node) -> None:
    """A node's minutes are its own and those of what follows, by their shares."""
    if node.kind == "measure":
        assert _close(sum(b.probability for b in node.branches), 1)
        assert _close(sum(b.then.reach for b in node.branches), node.reach)
        follows = sum(b.probability * b.then.expected for b in node.branches)
        assert _close(node.expected, node.minutes + follows)
    elif node.kind == "fix":
        assert node.failed is not None
        assert _close(node.failed.reach, node.reach * (1 - node.success))
        assert _close(node.expected, node.minutes + (1 - node.success) * node.failed.expected)
    else:
        assert node.branches == ()
        assert node.failed is None


def live_after_a_stop(book: Book, family: Family, tree: Node) -> list[tuple[Node, bool]]:
    """Each step below an outcome that ends the work under power, and whether it measures under power."""
    return [(step, _live(book, family, step)) for step, stopped in _below(family, tree, False) if stopped]


def _live(book: Book, family: Family, step: Node) -> bool:
    return step.kind == "measure" and bool(family.state_of(family.measurements[step.id]).sources)


def _below(family: Family, step: Node, stopped: bool) -> Iterator[tuple[Node, bool]]:
    yield step, stopped
    for branch in step.branches:
        ends = family.measurements[step.id].outcomes[branch.outcome].stop
        yield from _below(family, branch.then, stopped or ends)
    if step.failed is not None:
        yield from _below(family, step.failed, stopped)


def hot_without_a_reason(book: Book, case: Case, tree: Node) -> list[str]:
    """The fixes of a plan that heat the board although no reading was abnormal in a way that speaks for the
    fault: one of its own record, or one that is likelier with it than with a board that reads healthy in
    seven readings of ten.
    """
    found, known = [], book.families[case.family].measurements
    hot = frozenset(
        name
        for name in case.faults
        if (case.suspects[name].hot if name in case.suspects else is_hot(book, book.faults[name]))
    )
    for step, read in _fixes(tree, ()):
        if step.id in hot:
            place = case.faults.index(step.id)
            abnormal = [(m, o) for m, o in read if o not in known[m].normal]
            shares = {(m, o): case.expected[m][place][list(known[m].outcomes).index(o)] for m, o in abnormal}
            if not any(share > 0.3 / len(known[m].outcomes) for (m, _), share in shares.items()):
                found.append(step.id)
    return found


def _fixes(step: Node, read: _Read) -> Iterator[tuple[Node, _Read]]:
    """Each fix of a plan, with the outcomes that lead to it."""
    if step.kind == "fix":
        yield step, read
    for branch in step.branches:
        yield from _fixes(branch.then, (*read, (step.id, branch.outcome)))
    if step.failed is not None:
        yield from _fixes(step.failed, read)
