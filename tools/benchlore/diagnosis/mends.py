"""Which hypotheses a fix mends: its own, and what else the parts that it renews had at fault.

A part that was replaced in vain has nothing left to be suspected of. So a fix that fits new parts mends every
hypothesis all of whose parts at fault are among them. One that cleans, reseats, reflows, removes, bridges or
stores something mends its own alone; so does the search among several parts, which changes the one that it
finds.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from benchlore.book.model import Fault
from benchlore.diagnosis.suspects import Suspect
from benchlore.vocabulary import STORED_ACTIONS

LOST = "content-lost"  # what no new part brings back, unless the record says that it does
# What is wired or plugged otherwise than it should be: a new part is, too.
_NOT_BY_NEW = STORED_ACTIONS | {"reseat"}


def mends_of(everyone: Sequence[Fault | Suspect]) -> Mapping[int, tuple[int, ...]]:
    """The hypotheses that each fix mends, by index, its own among them; those that mend their own alone are
    left out.
    """
    by: dict[str, list[int]] = {}
    needs = [at_fault(one) for one in everyone]
    for h, parts in enumerate(needs):
        for part in parts:
            by.setdefault(part, []).append(h)
    found: dict[int, tuple[int, ...]] = {}
    for i, one in enumerate(everyone):
        new = renewed(one)
        mended = {h for part in new for h in by.get(part, ()) if needs[h] <= new}
        if mended - {i}:
            found[i] = tuple(sorted(mended | {i}))
    return MappingProxyType(found)


def minutes_of(everyone: Sequence[Fault | Suspect], alone: Sequence[float]) -> tuple[float, ...]:
    """Minutes of each fix. `alone`: what each takes by itself.

    Of a suspect on the board whose parts a record replaces, what the record takes, with its proof, and of
    several the least: it is the same work.
    """
    by_record: dict[frozenset[str], float] = {}
    for one, minutes in zip(everyone, alone, strict=True):
        if isinstance(one, Fault) and (parts := renewed(one)):
            by_record[parts] = min(minutes, by_record.get(parts, minutes))
    return tuple(
        by_record.get(renewed(one), minutes) if isinstance(one, Suspect) and not one.outside else minutes
        for one, minutes in zip(everyone, alone, strict=True)
    )


def renewed(one: Fault | Suspect) -> frozenset[str]:
    """The parts that a fix fits new in every job that tries it."""
    if isinstance(one, Fault):
        always = one.fix.steps if one.fix.action == "replace" else ()
        return frozenset(use.part for step in always if not step.if_ for use in step.uses)
    parts = frozenset(member.part for member in one.members)
    alone = len(parts) == 1 and not one.by_hand and not one.reflowed
    return parts | frozenset(one.along) if alone else frozenset()


def at_fault(one: Fault | Suspect) -> frozenset[str]:
    """The parts that, all new, mend a hypothesis; empty where new parts do not.

    Of a record its part and what that took along, where a part has failed, or the record itself replaces it;
    not where what is stored, or how it is plugged, is at fault.
    """
    if isinstance(one, Suspect):
        parts = frozenset(member.part for member in one.members) | frozenset(one.along)
        return frozenset() if any(member.mode == LOST for member in one.members) else parts
    failures = one.cause.failures
    modes = {failure.mode for failure in failures if failure.mode}
    by_new = bool(modes) and LOST not in modes and one.fix.action not in _NOT_BY_NEW
    return frozenset(f.part for f in failures) if by_new or one.fix.action == "replace" else frozenset()
