"""The whole book as one tree of plain data: resolved, linked in both directions, the same for the same book.

Its form is `schema/export.schema.json`. A quantity is given with its text, its interval and its unit; an end
that is open (`under 1 V`, the over-range `open`) is null. Keys stand in the order of the book's files.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from benchlore.book import links
from benchlore.book.model import (
    Book,
    Expectation,
    Fact,
    Family,
    Fault,
    Hazard,
    Measurement,
    Meter,
    Net,
    Outcome,
    Part,
    Place,
    Retired,
    Shop,
    State,
    Symptom,
    Technique,
    TestPoint,
)
from benchlore.quantity import Quantity

FORMAT = 1
Json = dict[str, Any]


def export_book(book: Book) -> Json:
    """The book as data that JSON can hold. A book whose names all lead somewhere is expected."""
    return {
        "format": FORMAT,
        "shop": _shop(book.shop),
        "symptoms": {s.id: _symptom(book, s) for s in book.symptoms.values()},
        "hazards": {h.id: _hazard(book, h) for h in book.hazards.values()},
        "meters": {m.id: _meter(m) for m in book.meters.values()},
        "states": {s.id: _state(s) for s in book.states.values()},
        "techniques": {t.id: _technique(book, t) for t in book.techniques.values()},
        "families": {f.id: _family(book, f) for f in book.families.values()},
        "faults": {f.id: _fault(book, f) for f in book.faults.values()},
        "retired": {r.id: _retired(r) for r in book.retired.values()},
    }


def _quantity(value: Quantity) -> Json:
    return {
        "text": value.text,
        "low": _finite(value.low),
        "high": _finite(value.high),
        "unit": value.unit,
    }


def _maybe(value: Quantity | None) -> Json | None:
    return None if value is None else _quantity(value)


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _ids(faults: Iterable[Fault]) -> list[str]:
    return [fault.id for fault in faults]


def _shop(shop: Shop) -> Json:
    return {
        "file": shop.origin.file,
        "title": shop.title,
        "currency": shop.currency,
        "labour_rate": shop.labour_rate,
        "default_meter": shop.default_meter,
        "unplug_minutes": shop.unplug_minutes,
        "escalate": {"minutes": shop.escalate_minutes, "to": shop.escalate_to},
    }


def _symptom(book: Book, symptom: Symptom) -> Json:
    return {
        "file": symptom.origin.file,
        "title": symptom.title,
        "said": list(symptom.said),
        "seen_by": symptom.seen_by,
        "hazards": list(links.by_severity(book, symptom.hazards)),
        "note": symptom.note,
        "faults": _ids(links.faults_of_symptom(book, symptom.id)),
    }


def _hazard(book: Book, hazard: Hazard) -> Json:
    return {
        "file": hazard.origin.file,
        "title": hazard.title,
        "signal": hazard.signal,
        "harm": hazard.harm,
        "avoid": list(hazard.avoid),
        "signs": list(hazard.signs),
        "source": hazard.source,
        "faults": _ids(links.faults_of_hazard(book, hazard.id)),
    }


def _meter(meter: Meter) -> Json:
    return {
        "file": meter.origin.file,
        "title": meter.title,
        "note": meter.note,
        "input_resistance": _quantity(meter.input_resistance),
        "test_current": _quantity(meter.test_current),
        "open_voltage": _quantity(meter.open_voltage),
        "accuracy": {
            mode: [
                {
                    "up_to": _quantity(r.up_to),
                    "resolution": _quantity(r.resolution),
                    "percent": r.percent,
                    "counts": r.counts,
                }
                for r in ranges
            ]
            for mode, ranges in meter.accuracy.items()
        },
    }


def _state(state: State) -> Json:
    return {
        "file": state.origin.file,
        "title": state.title,
        "sources": list(state.sources),
        "discharged": state.discharged,
        "minutes": state.minutes,
        "how": list(state.how),
        "hazards": list(state.hazards),
    }


def _technique(book: Book, technique: Technique) -> Json:
    return {
        "file": technique.origin.file,
        "title": technique.title,
        "summary": technique.summary,
        "needs": list(technique.needs),
        "heat": technique.heat,
        "steps": list(technique.steps),
        "hazards": list(technique.hazards),
        "source": technique.source,
        "faults": _ids(links.faults_of_technique(book, technique.id)),
    }


def _family(book: Book, family: Family) -> Json:
    board = family.board
    return {
        "file": family.origin.file,
        "title": family.title,
        "kind": family.kind,
        "summary": family.summary,
        "revisions": {r.id: {"tell": r.tell} for r in family.revisions.values()},
        "board": {
            "width": board.width,
            "height": board.height,
            "landmarks": {name: _place(place) for name, place in board.landmarks.items()},
        },
        "nets": {n.id: _net(book, family, n) for n in family.nets.values()},
        "parts": {p.id: _part(book, family, p) for p in family.parts.values()},
        "test_points": {p.id: _test_point(family, p) for p in family.test_points.values()},
        "measurements": {m.id: _measurement(book, family, m) for m in family.measurements.values()},
        "faults": _ids(links.faults_of_family(book, family.id)),
        "waive": dict(family.waive),
    }


def _place(place: Place) -> Json:
    return {
        "side": place.side,
        "at": {revision: list(at) for revision, at in place.at.items()},
        "size": list(place.size) if place.size else None,
    }


def _net(book: Book, family: Family, net: Net) -> Json:
    return {
        "kind": net.kind,
        "for": net.purpose,
        "nominal": _maybe(net.nominal),
        "fed_by": net.fed_by,
        "feeds": [below.id for below in links.fed_from(family, net.id)],
        "source": net.source,
        "bus": net.bus,
        "up_in": list(net.up_in),
        "set_by": [_fact(fact) for fact in net.facts],
        "parts": [part.id for part in links.parts_of_net(family, net.id)],
        "test_points": [point.id for point in links.test_points_of_net(family, net.id)],
        "measurements": [m.id for m in links.measurements_of_net(family, net.id)],
        "faults": _ids(links.faults_of_net(book, family.id, net.id)),
    }


def _fact(fact: Fact) -> Json:
    return {
        "fact": fact.kind,
        "in": list(fact.states),
        "nets": dict(fact.names),
        "values": {key: _quantity(value) for key, value in fact.quantities.items()},
    }


def _part(book: Book, family: Family, part: Part) -> Json:
    replace = part.replace
    return {
        "name": part.name,
        "package": part.package,
        "nets": list(part.nets),
        "unplugs": part.unplugs,
        "replace": {
            "minutes": replace.minutes,
            "skill": replace.skill,
            "donor": replace.donor,
            "price": replace.price,
        },
        "faults": _ids(links.faults_of_part(book, family.id, part.id)),
    }


def _test_point(family: Family, point: TestPoint) -> Json:
    return {
        "net": point.net,
        "place": _place(point.place),
        "where": dict(point.where),
        "measurements": [m.id for m in family.measurements.values() if m.test_point == point.id],
    }


def _measurement(book: Book, family: Family, measurement: Measurement) -> Json:
    inject = measurement.inject
    point = family.test_points.get(measurement.test_point)
    return {
        "at": measurement.test_point,
        "net": point.net if point else None,
        "mode": measurement.mode,
        "unit": measurement.unit,
        "state": measurement.state,
        "unplugged": list(measurement.unplugged),
        "leads": measurement.leads,
        "note": measurement.note,
        "technique": measurement.technique,
        "inject": {"volts": _quantity(inject.volts), "limit": _quantity(inject.limit)} if inject else None,
        "minutes": measurement.minutes,
        "asks": measurement.asks,
        "outcomes": {o.id: _outcome(o) for o in measurement.outcomes.values()},
        "hazards": list(links.hazards_of_measurement(book, measurement)),
        "faults": _ids(links.faults_of_measurement(book, family.id, measurement.id)),
        "waive": dict(measurement.waive),
    }


def _outcome(outcome: Outcome) -> Json:
    return {
        "range": _maybe(outcome.range),
        "normal": outcome.normal,
        "stop": outcome.stop,
        "means": outcome.means,
    }


def _fault(book: Book, fault: Fault) -> Json:
    fix = fault.fix
    return {
        "file": fault.origin.file,
        "family": fault.family,
        "title": fault.title,
        "summary": fault.summary,
        "revisions": list(links.revisions_of(book, fault)),
        "symptoms": dict(fault.symptoms),
        "test_points": [_expectation(e) for e in fault.test_points],
        "common_cause": {"part": fault.cause_part, "how": fault.cause},
        "seen": fault.seen,
        "fix": {
            "action": fix.action,
            "minutes": fix.minutes,
            "steps": list(fix.steps),
            "parts": [{"part": use.part, "donor": use.donor} for use in fix.parts],
            "confirm": dict(fix.confirm),
        },
        "hazards": list(links.hazards_of_fault(book, fault)),
        "techniques": list(links.techniques_of_fault(book, fault)),
        "nets": list(links.nets_of_fault(book, fault)),
        "worked_example": dict(fault.worked_example),
        "neighbours": [
            {
                "fault": n.fault.id,
                "symptoms": list(n.symptoms),
                "nets": list(n.nets),
                "told_apart_by": list(n.told_apart_by),
            }
            for n in links.neighbours(book, fault)
        ],
        "waive": dict(fault.waive),
    }


def _expectation(expectation: Expectation) -> Json:
    return {
        "measure": expectation.measure,
        "outcomes": dict(expectation.outcomes),
        "note": expectation.note,
    }


def _retired(record: Retired) -> Json:
    return {"file": record.origin.file, "moved_to": record.moved_to, "reason": record.reason}
