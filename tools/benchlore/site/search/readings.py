"""What readings can mean, for the search: each measurement's outcome ranges and the faults that expect them.

`build_readings` gives plain data for JSON: a row each measurement, in it a row each outcome. Its meaning has
the words for it where it stops; the faults that expect it stand as pairs of document number and probability,
the likeliest first. An open end is null; over-range is `open` in place of low.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Annotated, Literal, TypedDict

from benchlore.book.forms import declarations, schema_of
from benchlore.book.model import Book, Family, Measurement, Outcome
from benchlore.book.projection import Projection
from benchlore.circuit.power_tree import level
from benchlore.quantity import Quantity
from benchlore.site.paths import PATTERNS
from benchlore.site.search.documents import Document, plain, short, volts_of
from benchlore.site.search.index import FORMAT
from benchlore.site.words import STOP

# Jobs that a fault counts for before it is first seen, as in Jeffreys' prior.
_UNSEEN = 0.5

# Name, low, high, 1 if normal, what it means, faults (document, probability, document, ...).
OutcomeRow = tuple[str, float | Literal["open"] | None, float | None, Literal[0, 1], str, list[float]]
# Family, id, net, test point, mode, unit, bench state, what is unplugged, outcomes, volts of a rail.
MeasurementRow = tuple[int, str, str, str, str, str, str, str, list[OutcomeRow], float | None]
Expected = Mapping[tuple[str, str], Sequence[tuple[int, float]]]


class _ReadingData(TypedDict):
    format: int
    path: Annotated[str, "Where a measurement stands; its family, net (`page`) and id (`key`) are filled in."]
    measurements: list[MeasurementRow]


def types() -> str:
    """The type of this data, for the check of the scripts."""
    return declarations(schema_of(Projection(), _ReadingData), "Search")


def build_readings(book: Book, documents: Iterable[Document]) -> _ReadingData:
    """The measurements that are read, with the faults by their number among the documents of the index."""
    expected = _expected(book, {(d.family, d.key): n for n, d in enumerate(documents) if d.kind == "fault"})
    rows = [
        _row(family, number, measurement, expected[family.id])
        for number, family in enumerate(book.families.values())
        for measurement in _from_the_sources_down(family)
        if measurement.unit and measurement.net
    ]
    return {"format": FORMAT, "path": PATTERNS["measurement"], "measurements": rows}


def _from_the_sources_down(family: Family) -> list[Measurement]:
    """What reads the rail that feeds others comes first: of several of one voltage, people mean that."""
    return sorted(
        family.measurements.values(),
        key=lambda one: level(family, family.nets[one.net]) if one.net in family.nets else 0,
    )


def _expected(book: Book, numbers: Mapping[tuple[str, str], int]) -> Mapping[str, Expected]:
    """For each family, the faults by measurement and outcome, by how often they are seen and read so."""
    seen = {numbers[fault.family, fault.name]: fault.seen for fault in book.faults.values()}
    expected: dict[str, dict[tuple[str, str], list[tuple[int, float]]]] = {
        f: defaultdict(list) for f in book.families
    }
    for fault in book.faults.values():
        for measure, row in fault.reads.items() if fault.family in expected else ():
            for outcome, probability in row.items():
                number = numbers[fault.family, fault.name]
                expected[fault.family][measure, outcome].append((number, probability))
    for places in expected.values():
        for faults in places.values():
            faults.sort(key=lambda fault: (-fault[1] * (seen[fault[0]] + _UNSEEN), fault[0]))
    return expected


def _row(family: Family, number: int, measurement: Measurement, expected: Expected) -> MeasurementRow:
    state, net = family.states.get(measurement.state), family.nets.get(measurement.net)
    return (
        number,
        measurement.id,
        measurement.net,
        " to ".join(measurement.points),
        measurement.mode,
        measurement.unit or "",
        state.title if state else measurement.state,
        ", ".join(measurement.unplugged),
        [
            _outcome(outcome, outcome.range, expected.get((measurement.id, outcome.id), ()))
            for outcome in measurement.outcomes.values()
            if outcome.range
        ],
        volts_of(net) if net and net.kind == "rail" else None,
    )


def _outcome(outcome: Outcome, reads: Quantity, faults: Sequence[tuple[int, float]]) -> OutcomeRow:
    low: float | Literal["open"] | None = "open" if reads.is_open else _end(reads.low)
    numbers: list[float] = [number for fault in faults for number in fault]
    means = short(plain(outcome.means))
    if outcome.stop:
        means = f"{means} {STOP}"
    return (outcome.id, low, _end(reads.high), 1 if outcome.normal else 0, means, numbers)


def _end(value: float) -> float | None:
    return value if math.isfinite(value) else None
