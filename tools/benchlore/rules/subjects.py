"""What rules are asked of: the records of the book, one by one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from benchlore.book.elements import Element
from benchlore.book.model import Book, Family, Fault, Measurement, Net, Part, State, TestPoint
from benchlore.findings import Origin
from benchlore.rules.rule import Kind
from benchlore.rules.texts import texts_of_common, texts_of_families


def _families(book: Book) -> Iterator[tuple[Family]]:
    for family in book.families.values():
        yield (family,)


def _nets(book: Book) -> Iterator[tuple[Family, Net]]:
    for family in book.families.values():
        for net in family.nets.values():
            yield family, net


def _elements(book: Book) -> Iterator[tuple[Family, Net, Element]]:
    for family, net in _nets(book):
        for element in net.elements:
            yield family, net, element


def _parts(book: Book) -> Iterator[tuple[Family, Part]]:
    for family in book.families.values():
        for part in family.parts.values():
            yield family, part


def _points(book: Book) -> Iterator[tuple[Family, TestPoint]]:
    for family in book.families.values():
        for point in family.probe_points:
            yield family, point


def _measurements(book: Book) -> Iterator[tuple[Family, Measurement]]:
    for family in book.families.values():
        for measurement in family.measurements.values():
            yield family, measurement


def _faults(book: Book) -> Iterator[tuple[Fault]]:
    for fault in book.faults.values():
        yield (fault,)


def listed(*records: Any) -> Iterator[tuple[Origin, tuple[str, ...]]]:
    """The hazards of each record that lists some."""
    for record in records:
        yield record.origin, record.hazard


def own_states(book: Book) -> Iterator[State]:
    """The bench states that one family alone has."""
    for family in book.families.values():
        yield from family.own_states


FAMILY = Kind({"family": "Family"}, _families)
NET = Kind({"family": "Family", "net": "Net"}, _nets)
ELEMENT = Kind({"family": "Family", "net": "Net", "element": "Element"}, _elements)
PART = Kind({"family": "Family", "part": "Part"}, _parts)
POINT = Kind({"family": "Family", "point": "TestPoint"}, _points)
MEASUREMENT = Kind({"family": "Family", "measurement": "Measurement"}, _measurements)
FAULT = Kind({"fault": "Fault"}, _faults)
SYMPTOM = Kind({"symptom": "Symptom"}, shared=lambda book: ((s,) for s in book.symptoms.values()))
HAZARD = Kind({"hazard": "Hazard"}, shared=lambda book: ((h,) for h in book.hazards.values()))
METER = Kind({"meter": "Meter"}, shared=lambda book: ((m,) for m in book.meters.values()))
STATE = Kind(
    {"state": "State"},
    lambda book: ((s,) for s in own_states(book)),
    lambda book: ((s,) for s in book.states.values()),
)
TECHNIQUE = Kind({"technique": "Technique"}, shared=lambda book: ((t,) for t in book.techniques.values()))
# Every text that people read, with its place.
TEXT = Kind({"origin": "Origin", "text": "str"}, texts_of_families, texts_of_common)
# Every list of hazards, with the record that it belongs to.
HAZARDS = Kind(
    {"origin": "Origin", "names": "tuple[str, ...]"},
    lambda book: listed(*book.faults.values(), *own_states(book)),
    lambda book: listed(*book.techniques.values(), *book.states.values(), *book.symptoms.values()),
)
