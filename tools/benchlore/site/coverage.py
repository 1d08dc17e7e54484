"""What a book covers: records by family and kind of fault, how much is worked out, where it is thin.

A fault is of the area of the first symptom that its record states.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from benchlore.book.links import faults_of_family
from benchlore.book.model import Book, Family, Fault, Symptom
from benchlore.circuit.healthy import derive
from benchlore.diagnosis.suspects import suspects_of
from benchlore.vocabulary import AREAS, FEW_FAULTS, OUTSIDE_KINDS, PART_KINDS

NO_AREA = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One kind of fault, and how many there are in each of `Coverage.families`."""

    name: str
    counts: tuple[int, ...]

    @property
    def total(self) -> int:
        """Faults of that kind in the book."""
        return sum(int(count) for count in self.counts)


@dataclass(frozen=True, slots=True)
class Depth:
    """How much of a family is known.

    `numbers`: measurements that read a number; `derived`: those whose healthy range the circuit gives.
    `unrecorded`: suspects on the board without a record. `without_mode`: faults whose cause states no mode.
    """

    family: Family
    faults: int
    symptoms: int
    jobs: int
    measurements: int
    numbers: int
    derived: int
    unrecorded: int
    without_mode: int


@dataclass(frozen=True, slots=True)
class Thin:
    """A corner where the book is thin: a symptom of a family with fewer than FEW_FAULTS faults.

    `reason`: what the family says of it.
    """

    family: Family
    symptom: Symptom
    faults: tuple[Fault, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class Coverage:
    """What the whole book covers. By family id: `empty`, areas without a fault; `absent`, the symptoms of the
    book that no fault of the family shows.
    """

    families: tuple[Family, ...]
    areas: tuple[Row, ...]
    parts: tuple[Row, ...]
    depths: tuple[Depth, ...]
    thin: tuple[Thin, ...]
    empty: Mapping[str, tuple[str, ...]]
    absent: Mapping[str, tuple[Symptom, ...]]


def coverage(book: Book) -> Coverage:
    """Count it."""
    families = tuple(family for _, family in sorted(book.families.items()))
    faults = {family.id: faults_of_family(book, family.id) for family in families}
    by_area = {name: Counter(area_of(book, fault) for fault in own) for name, own in faults.items()}
    by_part = {f.id: Counter(_part_of(f, fault) for fault in faults[f.id]) for f in families}
    # An area that no board of the book has is no gap of it.
    used = [area for area in (*AREAS, NO_AREA) if any(by_area[f.id][area] for f in families)]
    return Coverage(
        families,
        tuple(
            Row(AREAS.get(area, "of no area"), tuple(by_area[f.id][area] for f in families)) for area in used
        ),
        _part_rows(families, by_part),
        tuple(_depth(book, family, faults[family.id]) for family in families),
        tuple(thin for family in families for thin in _thin(book, family, faults[family.id])),
        {f.id: tuple(AREAS[a] for a in used if a and not by_area[f.id][a]) for f in families},
        {f.id: _absent(book, faults[f.id]) for f in families},
    )


def area_of(book: Book, fault: Fault) -> str:
    """The area of its first symptom that the book has; empty where that names none."""
    known = (book.symptoms[name].area for name in fault.symptom if name in book.symptoms)
    return next(known, None) or NO_AREA


def _part_of(family: Family, fault: Fault) -> str:
    part = family.parts.get(fault.cause.part)
    return part.kind if part else NO_AREA


def _part_rows(families: tuple[Family, ...], found: Mapping[str, Counter[str]]) -> tuple[Row, ...]:
    kinds = [kind for kind in PART_KINDS if any(found[f.id][kind] for f in families)]
    rows = [
        Row(
            PART_KINDS[kind].label + (", outside the board" if kind in OUTSIDE_KINDS else ""),
            tuple(found[f.id][kind] for f in families),
        )
        for kind in kinds
    ]
    return tuple(rows)


def _depth(book: Book, family: Family, faults: tuple[Fault, ...]) -> Depth:
    numbers = [m for m in family.measurements.values() if m.function.unit is not None]
    return Depth(
        family,
        len(faults),
        len({name for fault in faults for name in fault.symptom}),
        sum(fault.seen for fault in faults),
        len(family.measurements),
        len(numbers),
        sum(derive(book, family, measurement) is not None for measurement in numbers),
        sum(not suspect.outside for suspect in suspects_of(book, family)),
        sum(not (fault.cause.mode or fault.cause.variants) for fault in faults),
    )


def _thin(book: Book, family: Family, faults: tuple[Fault, ...]) -> tuple[Thin, ...]:
    shown = {name: tuple(f for f in faults if name in f.symptom) for name in book.symptoms}
    few = [
        Thin(family, book.symptoms[name], own, family.thin.get(name, ""))
        for name, own in shown.items()
        if 0 < len(own) < FEW_FAULTS
    ]
    return tuple(sorted(few, key=lambda thin: (len(thin.faults), thin.symptom.title)))


def _absent(book: Book, faults: tuple[Fault, ...]) -> tuple[Symptom, ...]:
    shown = {name for fault in faults for name in fault.symptom}
    return tuple(sorted((s for s in book.symptoms.values() if s.id not in shown), key=lambda s: s.title))
