"""The book as data for the bench: one script for what all families share, one for each family.

Pages opened from disk can fetch no file, so the data are classic scripts that set a property of
`benchlore`. What is prose in a record comes as HTML that is safe to insert; an infinite end of a range is
null. Drawings come ready: the strip of each measurement, and the locator of each test point for each
revision.
"""

from __future__ import annotations

import hashlib
import json
import math
from typing import Any

from benchlore.book import links
from benchlore.book.model import Book, Family, Fault, Measurement, Meter, Outcome, Part, State
from benchlore.site import paths, words
from benchlore.site.drawings.locator import Probe, locator, sides
from benchlore.site.drawings.strip import strip
from benchlore.site.page import SiteFile
from benchlore.site.prose import inline, keep_units, prose
from benchlore.vocabulary import ACTIONS, FUNCTIONS, NET_KINDS, SKILLS

FORMAT = 1
COMMON = "data/bench/book.js"

Data = dict[str, Any]


def common_file(book: Book) -> SiteFile:
    """The script `data/bench/book.js`."""
    return SiteFile(COMMON, _script("benchBook", common(book)))


def family_file(book: Book, record: Family) -> SiteFile:
    """The script `data/bench/<family>.js`."""
    return SiteFile(path(record.id), _script(f"benchFamilies[{json.dumps(record.id)}]", family(book, record)))


def path(family_id: str) -> str:
    """Where a family's script lies."""
    return f"data/bench/{family_id}.js"


def common(book: Book) -> Data:
    """What all families share. `stamp` changes with every change of the book's faults or families."""
    return {
        "format": FORMAT,
        "stamp": _stamp(book),
        "shop": {
            "title": book.shop.title,
            "currency": book.shop.currency,
            "labour_rate": book.shop.labour_rate,
            "default_meter": book.shop.default_meter,
            "unplug_minutes": book.shop.unplug_minutes,
            "escalate_minutes": book.shop.escalate.minutes,
            "escalate_to": book.shop.escalate.to,
        },
        "meters": {name: _meter(meter) for name, meter in book.meters.items()},
        "symptoms": {
            name: {
                "title": s.title,
                "said": s.said,
                "note": inline(s.note),
                "hazards": s.hazard,
                "page": paths.symptom(name),
            }
            for name, s in book.symptoms.items()
        },
        "hazards": {
            name: {
                "title": h.title,
                "signal": h.signal,
                "harm": inline(h.harm),
                "avoid": [inline(line) for line in h.avoid],
                "page": paths.hazard(name),
            }
            for name, h in book.hazards.items()
        },
        "states": {name: _state(state) for name, state in book.states.items()},
        "techniques": {
            name: {"title": t.title, "page": paths.technique(name)} for name, t in book.techniques.items()
        },
        "families": [_listed(book, record) for _, record in sorted(book.families.items())],
        "modes": {mode: {"word": f.label, "unit": f.unit} for mode, f in FUNCTIONS.items()},
        "retired": {name: {"moved_to": r.moved_to, "reason": r.retired} for name, r in book.retired.items()},
    }


def family(book: Book, record: Family) -> Data:
    """One family, resolved: everything that the bench needs once the family is known."""
    return {
        "format": FORMAT,
        "id": record.id,
        "title": record.title,
        "kind": record.kind,
        "page": paths.family(record.id),
        "revisions": {name: {"tell": inline(r.tell)} for name, r in record.revisions.items()},
        "nets": {
            name: {
                "kind": NET_KINDS[net.kind],
                "for": inline(net.for_),
                "page": paths.net(record.id, name),
            }
            for name, net in record.nets.items()
        },
        "parts": {name: _part(record, part) for name, part in record.parts.items()},
        "points": {name: _point(record, name) for name in record.test_points},
        "measurements": {name: _measurement(book, m) for name, m in record.measurements.items()},
        "faults": {f.id: _fault(book, f) for f in links.faults_of_family(book, record.id)},
    }


def _script(name: str, value: Data) -> str:
    data = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    opening = "window.benchlore=window.benchlore||{};\nbenchlore.benchFamilies=benchlore.benchFamilies||{};\n"
    return f"{opening}benchlore.{name}={data};\n"


def _stamp(book: Book) -> str:
    text = repr((book.faults, book.families, book.meters, book.shop))
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def _listed(book: Book, record: Family) -> Data:
    shown = {symptom for fault in links.faults_of_family(book, record.id) for symptom in fault.symptom}
    return {
        "id": record.id,
        "title": record.title,
        "kind": record.kind,
        "script": path(record.id),
        "symptoms": sorted(shown & set(book.symptoms)),
        "revisions": {
            name: {"tell": inline(r.tell), "picture": locator(record, name, "top", ())}
            for name, r in record.revisions.items()
        },
    }


def _meter(meter: Meter) -> Data:
    return {
        "title": meter.title,
        "note": inline(meter.note),
        "open_voltage": meter.open_voltage.middle,
        "accuracy": {
            mode: [
                {
                    "up_to": r.up_to.middle,
                    "resolution": r.resolution.middle,
                    "percent": r.reading,
                    "counts": r.counts,
                }
                for r in ranges
            ]
            for mode, ranges in meter.accuracy.items()
        },
    }


def _state(state: State) -> Data:
    return {
        "title": state.title,
        "sources": state.sources,
        "minutes": state.minutes,
        "how": [inline(line) for line in state.how],
        "discharged": state.discharged,
        "hazards": state.hazard,
    }


def _part(record: Family, part: Part) -> Data:
    return {
        "name": part.name,
        "package": part.package,
        "unplugs": part.unplugs,
        "minutes": part.replace.minutes,
        "skill": SKILLS[part.replace.skill],
        "donor": keep_units(part.replace.donor),
        "price": part.replace.price,
        "page": paths.part(record.id, part.id),
    }


def _point(record: Family, name: str) -> Data:
    point = record.test_points[name]
    (side,) = sides([Probe(point, name)])
    return {
        "net": point.net,
        "side": point.side,
        "where": {revision: inline(text) for revision, text in point.where.items()},
        "locator": {
            revision: locator(record, revision, side, (Probe(point, name),)) for revision in point.at
        },
    }


def _measurement(book: Book, m: Measurement) -> Data:
    return {
        "point": m.at,
        "mode": m.mode,
        "unit": m.unit,
        "state": m.state,
        "unplugged": m.unplugged,
        "minutes": m.minutes,
        "asks": inline(m.asks),
        "leads": keep_units(m.leads),
        "note": inline(m.note),
        "technique": m.technique,
        "inject": m.inject
        and {"volts": words.quantity(m.inject.volts), "limit": words.quantity(m.inject.limit)},
        "hazards": links.hazards_of_measurement(book, m),
        "outcomes": [_outcome(o) for o in m.outcomes.values()],
        "strip": strip(m),
    }


def _outcome(outcome: Outcome) -> Data:
    found: Data = {
        "id": outcome.id,
        "name": words.outcome(outcome.id),
        "normal": outcome.normal,
        "stop": outcome.stop,
        "means": inline(outcome.means),
    }
    if outcome.range is not None:
        found |= {
            "text": words.quantity(outcome.range),
            "open": outcome.range.is_open,
            "low": _end(outcome.range.low),
            "high": _end(outcome.range.high),
        }
    return found


def _fault(book: Book, fault: Fault) -> Data:
    return {
        "id": fault.id,
        "title": fault.title,
        "page": paths.fault(fault.id),
        "revisions": links.revisions_of(book, fault),
        "summary": prose(fault.summary),
        "symptoms": dict(fault.symptom),
        "expects": {e.measure: dict(e.expected_reading) for e in fault.test_points},
        "notes": {e.measure: inline(e.note) for e in fault.test_points if e.note},
        "part": fault.common_cause.part,
        "cause": inline(fault.common_cause.how),
        "seen": fault.seen,
        "hazards": links.hazards_of_fault(book, fault),
        "techniques": links.techniques_of_fault(book, fault),
        "fix": {
            "action": ACTIONS[fault.fix.action],
            "minutes": fault.fix.minutes,
            "steps": [inline(step) for step in fault.fix.steps],
            "confirm": dict(fault.fix.confirm),
            "parts": [{"part": use.part, "donor": keep_units(use.donor)} for use in fault.fix.parts],
        },
    }


def _end(value: float) -> float | None:
    return value if math.isfinite(value) else None
