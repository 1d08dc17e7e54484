"""What a part's failures do to the board, mode by mode: recorded, suspected, or shown by no reading."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import fsum

from benchlore.book.links import faults_of_part
from benchlore.book.model import Book, Family, Fault, Measurement, Outcome, Part
from benchlore.circuit.foretold import predictor_of
from benchlore.circuit.graph.causes import fault_of
from benchlore.circuit.graph.mode_shares import source_of
from benchlore.circuit.graph.suspects import Suspect as Way
from benchlore.circuit.graph.suspects import suspects_of as ways_of
from benchlore.diagnosis.suspects import Suspect, suspects_of
from benchlore.site.page import Named
from benchlore.site.sections.section import Section
from benchlore.vocabulary import FAULT_MODES

SHOWN = 4  # readings of a mode, the surest first
_LEAST = 0.2  # of its boards on which a mode reads an outcome that is worth a line


@dataclass(frozen=True, slots=True)
class Reads:
    """A measurement that a mode makes abnormal, and what it mostly reads then."""

    measurement: Measurement
    outcome: Outcome
    share: float


@dataclass(frozen=True, slots=True)
class Loss:
    """One way in which a part fails, or those that are one record. `share`: of its failures, None where no
    table has it.

    `recorded`: the faults of the book that are this way; `suspected`: the circuit foretells it, and no record
    has it. With neither, no measurement shows it, or nothing is foretold. `more`: readings not shown.
    """

    mode: str
    at: tuple[str, ...]
    share: float | None
    recorded: tuple[Named, ...]
    suspected: bool
    reads: tuple[Reads, ...]
    more: int


def loss(book: Book, family: Family, part: Part) -> Section | None:
    """What each way of failing of a part makes of the readings."""
    rows = tuple(_rows(book, family, part))
    if not rows:
        return None
    shares = any(row.share is not None for row in rows)
    context = {"family": family, "rows": rows, "source": source_of(part.kind) if shares else ""}
    return Section("loss", "What its loss does, mode by mode", "_loss.html", context)


def _rows(book: Book, family: Family, part: Part) -> Iterator[Loss]:
    faults = [f for f in faults_of_part(book, family.id, part.id) if f.cause.part == part.id]
    suspects = {(m.mode, m.at): s for s in suspects_of(book, family) for m in s.members if m.part == part.id}
    table = {(w.fault.mode, w.fault.at): w.share for w in _ways(book, family, part)}
    owned = {way: tuple(f.id for f in faults if _is(f, *way)) for way in table}
    for own in dict.fromkeys(owned.values()):
        ways = [way for way in table if owned[way] == own]
        if own:
            yield _row(family, ways, fsum(map(table.__getitem__, ways)), [book.faults[f] for f in own], None)
        else:
            yield from (_row(family, [way], table[way], (), suspects.get(way)) for way in ways)
    for fault in faults:
        if not any(fault.id in own for own in owned.values()):
            stated = [(way.mode, way.at) for _, way in fault_of(fault)]
            yield _row(family, stated, None, (fault,), None)
    if not table and ("", "") in suspects:
        yield _row(family, [("", "")], None, (), suspects["", ""])


def _ways(book: Book, family: Family, part: Part) -> tuple[Way, ...]:
    graph = predictor_of(book, family).graph
    found = graph.parts.get(part.id)
    return () if found is None or found.outside else ways_of(graph, found)


def _is(fault: Fault, mode: str, at: str) -> bool:
    ways = [way for _, way in fault_of(fault)]
    return any(way.mode == mode and way.at in ("", at) for way in ways)


def _row(
    family: Family,
    ways: Sequence[tuple[str, str]],
    share: float | None,
    own: Sequence[Fault],
    suspect: Suspect | None,
) -> Loss:
    read: Mapping[str, Mapping[str, float] | None] = own[0].reads if own else suspect.reads if suspect else {}
    found = sorted(_reads(family, read), key=lambda one: (-round(one.share, 2), one.measurement.minutes))
    return Loss(
        " or ".join(dict.fromkeys(FAULT_MODES[mode].label for mode, _ in ways if mode)),
        tuple(dict.fromkeys(at for _, at in ways if at)),
        share,
        tuple(Named(f.id, f.title) for f in own),
        not own and suspect is not None,
        tuple(found[:SHOWN]),
        max(len(found) - SHOWN, 0),
    )


def _reads(family: Family, read: Mapping[str, Mapping[str, float] | None]) -> Iterator[Reads]:
    for name, row in read.items():
        measurement = family.measurements[name]
        wrong = {o: p for o, p in (row or {}).items() if o not in measurement.normal}
        if wrong:
            outcome = max(wrong, key=lambda o: (wrong[o], o))
            if wrong[outcome] >= _LEAST:
                yield Reads(measurement, measurement.outcomes[outcome], wrong[outcome])
