"""The cause that a record states, as faults of the graph."""

from __future__ import annotations

from dataclasses import replace

from benchlore.book.model import Failure
from benchlore.book.model import Fault as Record
from benchlore.circuit.graph.change import Fault
from benchlore.circuit.interval import interval

# A condition that no measurement meets: while a loose contact touches, the fault changes nothing.
APART = "contact open"
Variants = tuple[tuple[float, Fault], ...]


def fault_of(record: Record) -> Variants:
    """The faults of the graph that a record's cause is, each with its share of the jobs; shares add to 1.

    A contact that is loose for a share of the time is open for that share, and touches for the rest. Empty
    where the record states no mode.
    """
    cause = record.cause
    when = frozenset(cause.when)
    one = ((1.0, cause.share_of_time, _fault(cause), cause.then),) if cause.mode else ()
    ways = tuple((v.share, v.share_of_time, _fault(v), cause.then + v.then) for v in cause.variants) or one
    found: list[tuple[float, Fault]] = []
    for share, there, fault, along in ways:
        whole = replace(fault, when=when, then=tuple(_fault(failure) for failure in along))
        if there is None:
            found.append((share, whole))
        else:
            found.append((share * there, whole))
            found.append((share * (1 - there), replace(whole, when=when | {APART})))
    return tuple(found)


def _fault(failure: Failure) -> Fault:
    value = failure.ohms or failure.volts
    return Fault(
        failure.part,
        failure.mode or "",
        failure.at or "",
        failure.to or "",
        interval(value) if value else None,
    )
