"""The whole book as one tree of plain data: every record with its fields, linked in both directions.

What the book's files do not state stands under `links`. A quantity is given with its text, its interval and
its unit; an end that is open (`under 1 V`, the over-range `open`) is null. Keys stand in the order of the
book's files. `schema()` is the form of it.
"""

from __future__ import annotations

from collections.abc import Iterable
from types import MappingProxyType
from typing import Annotated, Any, TypedDict

from benchlore.book import links
from benchlore.book.forms import schema_of
from benchlore.book.model import (
    Book,
    Family,
    Fault,
    Hazard,
    Measurement,
    Meter,
    Net,
    Part,
    Retired,
    Shop,
    State,
    Symptom,
    Technique,
    TestPoint,
)
from benchlore.book.projection import Json, Projection

FORMAT = 2
Ids = list[str]
Faults = Annotated[Ids, "Ids of the faults that it has to do with."]
File = Annotated[str, "Record file, relative to the folder that holds faults/, with forward slashes."]


class _Export(TypedDict):
    """The whole book, linked in both directions, as `benchlore export` writes it."""

    format: Annotated[int, "Version of this form; it rises when a reader of the old one would be misled."]


class _File(TypedDict):
    file: File


class _FaultsOnly(TypedDict):
    """What leads to the record."""

    faults: Faults


class _Linked(TypedDict):
    file: File
    links: _FaultsOnly


class _NetLinks(TypedDict):
    """What a net feeds, and what is on it."""

    feeds: Annotated[Ids, "Nets that it feeds."]
    parts: Annotated[Ids, "Parts on it."]
    test_points: Annotated[Ids, "Test points on it."]
    measurements: Annotated[Ids, "Measurements taken on it."]
    faults: Faults


class _Net(TypedDict):
    links: _NetLinks


class _Part(TypedDict):
    links: _FaultsOnly


class _TestPointLinks(TypedDict):
    """What is taken at a test point."""

    measurements: Annotated[Ids, "Measurements taken at it."]


class _TestPoint(TypedDict):
    links: _TestPointLinks


class _MeasurementLinks(TypedDict):
    """What a measurement reads, and what its work brings."""

    net: Annotated[str, "The net of its test point."]
    unit: Annotated[str | None, "Base unit of its readings; null where an outcome is named, not read."]
    hazards: Annotated[Ids, "Hazards of its bench state and its technique, the most serious first."]
    faults: Faults


class _Measurement(TypedDict):
    links: _MeasurementLinks


class _Neighbour(TypedDict):
    """A fault easily taken for this one."""

    fault: Annotated[str, "Its id."]
    symptoms: Annotated[Ids, "Symptoms that both show."]
    nets: Annotated[Ids, "Nets that both touch."]
    told_apart_by: Annotated[Ids, "Measurements that read otherwise with each."]


class _FaultLinks(TypedDict):
    """What a fault names by itself and through its measurements and its family."""

    family: Annotated[str, "Its board family."]
    revisions: Annotated[Ids, "Revisions that can have it."]
    hazards: Annotated[Ids, "All hazards of the work, the most serious first."]
    techniques: Annotated[Ids, "Techniques of the record, then of its measurements."]
    nets: Annotated[Ids, "Nets that it is measured on, then those of the part at fault."]
    neighbours: Annotated[list[_Neighbour], "Faults easily taken for it."]


class _Fault(TypedDict):
    file: File
    foretold: Annotated[
        dict[str, dict[str, float]],
        "What it reads by the circuit where the record is silent: by measurement, the share of each outcome.",
    ]
    links: _FaultLinks


def export_book(book: Book) -> Json:
    """The book as data that JSON can hold. A book whose names all lead somewhere is expected."""
    return {"format": FORMAT} | EXPORT.of(book, book)


def export_record(book: Book, record: Any, holder: Any = None) -> Json:
    """One record as the export has it; `holder` is the family of a net or a part."""
    return EXPORT.of(book, record, holder)


def schema() -> Json:
    """The JSON Schema of the export."""
    form = schema_of(EXPORT, Book)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": "benchlore:export", **form}


def _ids(records: Iterable[Any]) -> Ids:
    return [record.id for record in records]


def _book(*_: object) -> _Export:
    return {"format": FORMAT}


def _file(_: Book, __: object, record: Any) -> _File:
    return {"file": record.origin.file}


def _family(book: Book, _: object, family: Family) -> _Linked:
    faults = _ids(links.faults_of_family(book, family.id))
    return {"file": family.origin.file, "links": {"faults": faults}}


def _symptom(book: Book, _: object, symptom: Symptom) -> _Linked:
    faults = _ids(links.faults_of_symptom(book, symptom.id))
    return {"file": symptom.origin.file, "links": {"faults": faults}}


def _hazard(book: Book, _: object, hazard: Hazard) -> _Linked:
    return {"file": hazard.origin.file, "links": {"faults": _ids(links.faults_of_hazard(book, hazard.id))}}


def _technique(book: Book, _: object, technique: Technique) -> _Linked:
    faults = _ids(links.faults_of_technique(book, technique.id))
    return {"file": technique.origin.file, "links": {"faults": faults}}


def _net(book: Book, family: Family, net: Net) -> _Net:
    return {
        "links": {
            "feeds": _ids(links.fed_from(family, net.id)),
            "parts": _ids(links.parts_of_net(family, net.id)),
            "test_points": _ids(links.test_points_of_net(family, net.id)),
            "measurements": _ids(links.measurements_of_net(family, net.id)),
            "faults": _ids(links.faults_of_net(book, family.id, net.id)),
        }
    }


def _part(book: Book, family: Family, part: Part) -> _Part:
    return {"links": {"faults": _ids(links.faults_of_part(book, family.id, part.id))}}


def _test_point(_: Book, family: Family, point: TestPoint) -> _TestPoint:
    return {"links": {"measurements": [m.id for m in family.measurements.values() if point.id in m.points]}}


def _measurement(book: Book, family: Family, measurement: Measurement) -> _Measurement:
    return {
        "links": {
            "net": measurement.net,
            "unit": measurement.unit,
            "hazards": list(links.hazards_of_measurement(book, family, measurement)),
            "faults": _ids(links.faults_of_measurement(book, family.id, measurement.id)),
        }
    }


def _fault(book: Book, _: object, fault: Fault) -> _Fault:
    return {
        "file": fault.origin.file,
        "foretold": {measure: dict(row) for measure, row in fault.foretold.items()},
        "links": {
            "family": fault.family,
            "revisions": list(links.revisions_of(book, fault)),
            "hazards": list(links.hazards_of_fault(book, fault)),
            "techniques": list(links.techniques_of_fault(book, fault)),
            "nets": list(links.nets_of_fault(book, fault)),
            "neighbours": [
                {
                    "fault": n.fault.id,
                    "symptoms": list(n.symptoms),
                    "nets": list(n.nets),
                    "told_apart_by": list(n.told_apart_by),
                }
                for n in links.neighbours(book, fault)
            ],
        },
    }


EXPORT = Projection(
    adds=MappingProxyType(
        {
            Book: _book,
            Shop: _file,
            Meter: _file,
            State: _file,
            Retired: _file,
            Symptom: _symptom,
            Hazard: _hazard,
            Technique: _technique,
            Family: _family,
            Net: _net,
            Part: _part,
            TestPoint: _test_point,
            Measurement: _measurement,
            Fault: _fault,
        }
    ),
    leaves_out=MappingProxyType({Book: frozenset({"files", "unread"})}),
)
