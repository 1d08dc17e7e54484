"""What a family says that its symptoms come of: the names lead somewhere, and the records agree."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book.model import Book, Family, Fault
from benchlore.diagnosis.suspects import outside_of
from benchlore.findings import Problem, nearest
from benchlore.rules.rule import rule
from benchlore.rules.subjects import FAMILY, FAULT
from benchlore.vocabulary import PART_KINDS

MOSTLY = ("always", "often")


@rule(each=FAMILY, waivable=False)
def comes_of_unknown(book: Book, family: Family) -> Iterator[Problem]:
    """What a symptom comes of are nets and parts of the family, and the symptom is one of the book.

    Bad:
        # faults/wren-5/family.yaml
        symptoms: {no-picture: [SDA, J2]}

    Good:
        # faults/wren-5/family.yaml
        symptoms: {no-picture: [SDA, J1]}
    """
    known = {*family.nets, *family.parts}
    for name, one in family.symptoms.items():
        if name not in book.symptoms:
            mend = nearest(name, book.symptoms) or "write it as it stands in common/symptoms.yaml"
            yield Problem(one.origin, f"'{name}' is not a symptom", mend, on_key=True)
        for i, of in enumerate(one.of):
            if of not in known:
                message = f"'{of}' is neither a net nor a part of {family.id}"
                yield Problem(one.origin.at("of", i), message, nearest(of, known))


@rule(each=FAMILY, waivable=False)
def first_under_power(family: Family) -> Iterator[Problem]:
    """What comes before any source at a symptom is a measurement of the family, taken with every source out.

    Bad:
        # faults/wren-5/family.yaml
        symptoms: {no-picture: {of: [SDA, J1], first: [main-rail]}}

    Good:
        # faults/wren-5/family.yaml
        symptoms: {no-picture: {of: [SDA, J1], first: [socket-look]}}
    """
    for name, one in family.symptoms.items():
        for i, measure in enumerate(one.first):
            found = family.measurements.get(measure)
            if found is None:
                message = f"'{measure}' is not a measurement of {family.id}"
                yield Problem(one.origin.at("first", i), message, nearest(measure, family.measurements))
            elif family.state_of(found).sources:
                message = f"'{measure}' needs a source, and '{name}' asks for it before any source goes in"
                yield Problem(one.origin.at("first", i), message, "name a look, or ohms")


@rule("warning", each=FAMILY)
def share_without_a_part(family: Family) -> Iterator[Problem]:
    """Of a kind of what is plugged in that a family gives a share of a symptom, it names a part with it.

    A kind of which the family has no part bears its share by itself.

    Bad:
        # faults/wren-5/family.yaml
        symptoms: {no-picture: {of: [SDA], outside: {accessory: 20%}}}

    Good:
        # faults/wren-5/family.yaml
        symptoms: {no-picture: {of: [SDA, J1], outside: {accessory: 20%}}}
    """
    there: dict[str, list[str]] = {}
    for part in family.parts.values():
        there.setdefault(part.kind, []).append(part.id)
    for name, one in family.symptoms.items():
        for kind, share in one.outside.items():
            if share > 0 and kind in there and set(there[kind]).isdisjoint(one.of):
                called = PART_KINDS[kind].label
                message = f"{share:g} % of '{name}' are of the {called}, and none is named that it comes of"
                mend = f"name {' or '.join(there[kind])}, or take the share out"
                yield Problem(one.origin.at("outside", kind), message, mend, on_key=True)


@rule("warning", each=FAULT)
def comes_of_another(book: Book, fault: Fault) -> Iterator[Problem]:
    """A symptom that a fault shows always or often comes of its part, of a net that it shorts or holds, or of
    one that reads amiss with it, where the family says what the symptom comes of.

    Of a fault that is mended by a setting nothing is asked: settings are no part.

    Bad:
        # faults/wren-5/family.yaml
        symptoms: {no-picture: [C1]}

    Good:
        # faults/wren-5/family.yaml
        symptoms: {no-picture: [C1, SDA]}
    """
    family = book.families.get(fault.family)
    if family is None or not family.symptoms or outside_of(book, fault) == "settings":
        return
    names = set(_names(family, fault))
    for name, often in fault.symptom.items():
        one = family.symptoms.get(name)
        if one is not None and often in MOSTLY and names.isdisjoint(one.of):
            message = f"by the family, '{name}' comes of {_listed(one.of)}, and nothing of that is amiss here"
            mend = f"add '{fault.cause.part}', or a net that reads amiss with it, to 'symptoms' of the family"
            yield Problem(fault.origin.at("symptom", name), message, mend, on_key=True)


def _names(family: Family, fault: Fault) -> Iterator[str]:
    """The parts at fault, the nets that they short or hold, and those that read amiss."""
    for failure in fault.cause.failures:
        yield from (name for name in (failure.part, failure.at, failure.to) if name)
    for measure, row in fault.reads.items():
        measurement = family.measurements.get(measure)
        if measurement and any(p > 0 and o not in measurement.normal for o, p in row.items()):
            yield from measurement.nets


def _listed(names: tuple[str, ...], most: int = 4) -> str:
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + more
