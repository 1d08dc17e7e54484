"""Causes: the mode fits the part, and what is said of it fits the mode."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields

from benchlore.book.model import Book, Failure, Fault, Part, Variant
from benchlore.circuit.graph.mode_shares import modes_of
from benchlore.findings import Problem
from benchlore.rules.rule import Kind, rule
from benchlore.rules.subjects import FAULT
from benchlore.vocabulary import FAULT_MODES, PART_KINDS


def _failures(book: Book) -> Iterator[tuple[Failure, Part]]:
    for fault in book.faults.values():
        family = book.families.get(fault.family)
        for failure in fault.cause.failures:
            if family and failure.mode and failure.part in family.parts:
                yield failure, family.parts[failure.part]


def _told(book: Book) -> Iterator[tuple[Failure]]:
    for fault in book.faults.values():
        for failure in fault.cause.failures:
            if failure.mode:
                yield (failure,)


_TOLD = Kind({"failure": "Failure"}, _told)
_FAILURES = Kind({"failure": "Failure", "part": "Part"}, _failures)


@rule(each=_FAILURES)
def impossible_mode(failure: Failure, part: Part) -> Iterator[Problem]:
    """A part fails in a way that its kind can: a fuse opens, a ceramic capacitor shorts.

    The modes by kind are those of the published distributions (FMD-91, as MIL-HDBK-338B prints them), and
    some that only a record can know.

    Bad:
        # faults/wren-5/fuse-open.yaml
        cause:
          mode: shorted-to-ground

    Good:
        # faults/wren-5/fuse-open.yaml
        cause:
          mode: open
    """
    known = modes_of(part.kind)
    if failure.mode not in known:
        label = PART_KINDS[part.kind].label
        message = f"'{part.id}' is a {label}, and that is never '{failure.mode}'"
        yield Problem(failure.origin.at("mode"), message, f"a {label} is {', '.join(known)}")


@rule(each=_TOLD)
def field_of_another_mode(failure: Failure) -> Iterator[Problem]:
    """What a cause says beside its mode belongs to that mode: ohms to a short, a leak or a wrong value, volts
    to a line that is stuck, a second net to a short from end to end, a share of the time to a loose contact.

    Bad:
        # faults/wren-5/fuse-open.yaml
        cause:
          volts: 0 to 0.4 V

    Good:
        # faults/wren-5/line-held-low.yaml
        cause:
          ohms: 0 to 3 ohm
    """
    mode = FAULT_MODES[failure.mode or ""]
    for name in sorted({says for each in FAULT_MODES.values() for says in each.says}):
        if name not in mode.says and getattr(failure, name, None) is not None:
            meant = [each.id for each in FAULT_MODES.values() if name in each.says]
            message = f"'{name}' says nothing of a part that is '{mode.id}'"
            mend = f"take it out; it belongs to {', '.join(meant)}"
            yield Problem(failure.origin.at(name), message, mend, on_key=True)


@rule(each=FAULT)
def mode_beside_variants(fault: Fault) -> Iterator[Problem]:
    """A cause has one mode, or variants with a mode each.

    Bad:
        # faults/wren-5/rail-short.yaml
        cause:
          mode: shorted-to-ground
          variants:
            - {mode: shorted-to-ground, share: 0.9}
            - {mode: leaks, share: 0.1}

    Good:
        # faults/wren-5/rail-short.yaml
        cause:
          mode:
          variants:
            - {mode: shorted-to-ground, share: 0.9}
            - {mode: leaks, share: 0.1}
    """
    cause = fault.cause
    own = {field.name for field in fields(Variant)} - {"origin", "part", "at", "to", "share", "then"}
    for name in sorted(own):
        if cause.variants and getattr(cause, name) is not None:
            message = f"'{name}' of the cause and of its variants: only one can be meant"
            yield Problem(fault.origin.at("cause", name), message, "leave it to the variants", on_key=True)


@rule(each=_FAILURES)
def cause_off_net(failure: Failure, part: Part) -> Iterator[Problem]:
    """A part is shorted, leaks or holds a line on a net that it sits on.

    Bad:
        # faults/wren-5/line-held-low.yaml
        cause:
          at: FUSED

    Good:
        # faults/wren-5/line-held-low.yaml
        cause:
          at: SDA
    """
    for name, net in (("at", failure.at), ("to", failure.to)):
        if net is not None and part.nets and net not in part.nets:
            message = f"'{part.id}' is not on {net}"
            yield Problem(failure.origin.at(name), message, f"it sits on {', '.join(part.nets)}")


@rule(each=FAULT)
def then_not_mended(fault: Fault) -> Iterator[Problem]:
    """What a fault takes along is mended with it: a board whose fuse a short has opened is dead without the
    short, too.

    Bad:
        # faults/wren-5/rail-short.yaml
        cause:
          then: [{part: F1, mode: open}]

    Good:
        # faults/wren-5/rail-short.yaml
        cause:
          then: [{part: F1, mode: open}]
        test_points:
          - main-junction: shorted
          - fused-rail: absent
          - main-heat: hot
        worked_example:
          main-junction: 0.004 V
        fix:
          minutes: 20
          steps:
            - unplug: everything
            - discharge: 10 s
            - replace: [C1, F1]
    """
    taken = {use.part for use in fault.fix.parts}
    for failure in fault.cause.taken_along:
        if failure.part not in taken:
            message = f"the fault takes '{failure.part}' along, and the fix does not mend it"
            mend = f"add a step with 'replace: {failure.part}'"
            yield Problem(failure.origin.at("part"), message, mend)
