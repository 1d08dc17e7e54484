"""Links in both directions: the faults of a symptom, net, part, technique or hazard; neighbours.

Pure functions of the book; each fault's links are found once a book. Names that lead nowhere
are skipped here; the rules report them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from benchlore.book.elements import names_of as names_of_element
from benchlore.book.ids import COMMON, family_of, folder_of
from benchlore.book.model import (
    Book,
    Expectation,
    Family,
    FamilyNames,
    Fault,
    Measurement,
    Net,
    Part,
    T,
    TestPoint,
    frozen_map,
)
from benchlore.book.same import Same
from benchlore.book.work import (
    brought,
    brought_by_step,
    spared,
    technique_of_opening,
    techniques_of_steps,
)
from benchlore.vocabulary import SIGNALS


@dataclass(frozen=True, slots=True)
class Neighbour:
    """A fault easily taken for another: what they share, and the measurements that tell them apart."""

    fault: Fault
    symptoms: tuple[str, ...]
    nets: tuple[str, ...]
    told_apart_by: tuple[str, ...]


def book_of(book: Book, family: str) -> Book:
    """The book with the records of one family and the common ones alone; the same one each time."""
    return _book_of(Same(book), family)


@lru_cache(maxsize=4)
def _book_of(of_book: Same[Book], family: str) -> Book:
    book = of_book.record

    def own(records: Mapping[str, T]) -> Mapping[str, T]:
        return frozen_map({id_: record for id_, record in records.items() if family_of(id_) == family})

    return replace(
        book,
        families=frozen_map({family: book.families[family]}),
        faults=own(book.faults),
        retired=own(book.retired),
        files=tuple(file for file in book.files if folder_of(file) in (COMMON, family)),
        unread=frozen_map(),
        pictures=frozen_map({file: one for file, one in book.pictures.items() if folder_of(file) == family}),
    )


def faults_of_family(book: Book, family: str) -> tuple[Fault, ...]:
    """The faults of a family, in order of id."""
    return _faults(book, _FAMILY, family)


def faults_of_symptom(book: Book, symptom: str, family: str | None = None) -> tuple[Fault, ...]:
    """The faults that show a symptom, in order of id; of one family or of all."""
    return _faults(book, _SYMPTOMS, symptom, family)


def faults_of_technique(book: Book, technique: str) -> tuple[Fault, ...]:
    """The faults that need a technique, by themselves or through one of their measurements."""
    return _faults(book, _TECHNIQUES, technique)


def faults_of_hazard(book: Book, hazard: str) -> tuple[Fault, ...]:
    """The faults whose work brings a hazard."""
    return _faults(book, _HAZARDS, hazard)


def faults_of_net(book: Book, family: str, net: str) -> tuple[Fault, ...]:
    """The faults that are measured on a net or whose part at fault sits on it."""
    return _faults(book, _NETS, net, family)


def faults_of_part(book: Book, family: str, part: str) -> tuple[Fault, ...]:
    """The faults in which a part is at fault or is taken by the fix."""
    return _faults(book, _PARTS, part, family)


def faults_of_measurement(book: Book, family: str, measure: str) -> tuple[Fault, ...]:
    """The faults that are told by a measurement."""
    return _faults(book, _MEASUREMENTS, measure, family)


def _faults(book: Book, link: _Link, name: str, family: str | None = None) -> tuple[Fault, ...]:
    """The faults that a link leads from to a name, in order of id."""
    return _leading(Same(book), link).get((family, name), ())


def measured(book: Book, fault: Fault) -> Iterator[tuple[Expectation, Measurement]]:
    """What is worth measuring of a fault, with the measurements named: as stated, then as foretold."""
    family = book.families.get(fault.family)
    for expectation in fault.readings if family else ():
        measurement = family.measurements.get(expectation.measure) if family else None
        if measurement:
            yield expectation, measurement


def measured_at_work(book: Book, fault: Fault) -> tuple[Measurement, ...]:
    """The measurements that tell of the fault, then those that its steps take besides."""
    family = book.families.get(fault.family)
    known = family.measurements if family else {}
    stated = [measurement.id for _, measurement in measured(book, fault)]
    steps = [name for step in fault.fix.steps for name in step.measure]
    return tuple(known[name] for name in _once([*stated, *steps]) if name in known)


def nets_of_fault(book: Book, fault: Fault) -> tuple[str, ...]:
    """Nets that the fault is measured on, then those of the part at fault, each once."""
    return _NETS.of(book, fault)


def _nets(book: Book, fault: Fault) -> tuple[str, ...]:
    family = book.families.get(fault.family)
    if family is None:
        return ()
    measured_on = [net for _, m in measured(book, fault) for net in m.nets]
    part = family.parts.get(fault.cause.part)
    names = [*measured_on, *(part.nets if part else ())]
    return _once(name for name in names if name in family.nets)


def parts_of_fault(fault: Fault) -> tuple[str, ...]:
    """The part at fault, then the parts that the fix takes."""
    return _once([fault.cause.part, *(use.part for use in fault.fix.parts)])


def techniques_of_fault(book: Book, fault: Fault) -> tuple[str, ...]:
    """Techniques of the record's measurements and steps, then those that it names besides; how the device is
    opened comes last."""
    return _TECHNIQUES.of(book, fault)


def _techniques(book: Book, fault: Fault) -> tuple[str, ...]:
    measurements = (m.technique for m in measured_at_work(book, fault) if m.technique)
    opening = technique_of_opening(fault, book.families.get(fault.family))
    named = (*fault.techniques, *((opening,) if opening else ()))
    return _once([*measurements, *techniques_of_steps(book, fault), *named])


_SEVERITY = tuple(SIGNALS)


def hazards_of_fault(book: Book, fault: Fault) -> tuple[str, ...]:
    """All hazards of the work: those of its bench states, its steps and techniques, and those that the record
    names besides; the most serious first. A fix that discharges the board is done in a discharged state."""
    return _HAZARDS.of(book, fault)


def _hazards(book: Book, fault: Fault) -> tuple[str, ...]:
    names = list(fault.hazard)
    family = book.families.get(fault.family)
    for measurement in measured_at_work(book, fault) if family else ():
        names += hazards_of_measurement(book, family, measurement) if family else ()
    if family and any(step.discharge for step in fault.fix.steps):
        discharged = (state for state in family.bench_states if state.discharged)
        names += of_family(book, family, [name for state in discharged for name in state.hazard])
    return by_severity(book, (*names, *hazards_of_work(book, fault)))


def hazards_of_measurements(
    book: Book, family: Family, measurements: Iterable[Measurement]
) -> tuple[str, ...]:
    """The hazards of several measurements of a family, each once, most serious first."""
    return by_severity(book, [h for m in measurements for h in hazards_of_measurement(book, family, m)])


def hazards_of_family(book: Book, family: Family) -> tuple[str, ...]:
    """All hazards of a family's measurements and fixes; most serious first."""
    met = hazards_of_measurements(book, family, family.measurements.values())
    fixes = (h for fault in faults_of_family(book, family.id) for h in hazards_of_fault(book, fault))
    return by_severity(book, [*met, *fixes])


def standing_hazards(book: Book, family: Family) -> tuple[str, ...]:
    """What a bench brings whatever is done: the hazards of its states, most serious first."""
    return of_family(book, family, [name for state in family.bench_states for name in state.hazard])


def hazards_by_step(book: Book, fault: Fault) -> tuple[tuple[str, ...], ...]:
    """For each step of the fix the hazards that it brings by itself, most serious first."""
    family = book.families.get(fault.family)
    steps = fault.fix.steps if family else ()
    return tuple(by_severity(book, brought_by_step(book, family, step)) for step in steps if family)


def hazards_of_work(book: Book, fault: Fault) -> dict[str, str]:
    """The hazards that the steps, techniques and nets of a fault bring, each with the reason."""
    return brought(book, fault, measured_at_work(book, fault), techniques_of_fault(book, fault))


def hazards_of_measurement(book: Book, family: Family, measurement: Measurement) -> tuple[str, ...]:
    """The hazards of a measurement: its bench state's and its technique's; most serious first."""
    state = family.states.get(measurement.state)
    technique = book.techniques.get(measurement.technique or "")
    names = [*(state.hazard if state else ()), *(technique.hazard if technique else ())]
    return of_family(book, family, names)


def symptoms_of_family(book: Book, family: str) -> tuple[str, ...]:
    """The symptoms that the faults of a family show, by id."""
    shown = {symptom for fault in faults_of_family(book, family) for symptom in fault.symptom}
    return tuple(sorted(shown & set(book.symptoms)))


def of_family(book: Book, family: Family, names: Iterable[str]) -> tuple[str, ...]:
    """Those of the hazards that a board can have, each once, most serious signal word first."""
    return by_severity(book, [name for name in names if name not in spared(family)])


def by_severity(book: Book, names: Iterable[str]) -> tuple[str, ...]:
    """Known hazards, each once, most serious signal word first."""
    known = [name for name in _once(names) if name in book.hazards]
    return tuple(sorted(known, key=lambda name: _SEVERITY.index(book.hazards[name].signal)))


def names_of(book: Book, family: str) -> FamilyNames | None:
    """What the faults of a family may name, also where the family does not fit its schema."""
    read = book.families.get(family)
    if read is None:
        return book.unread.get(family)
    outcomes = {measurement.id: tuple(measurement.outcomes) for measurement in read.measurements.values()}
    return FamilyNames(revisions=tuple(read.revisions), parts=tuple(read.parts), outcomes=outcomes)


def revisions_of(book: Book, fault: Fault) -> tuple[str, ...]:
    """The revisions that can have the fault: those it names, else all of its family."""
    family = book.families.get(fault.family)
    return fault.revisions or (tuple(family.revisions) if family else ())


def neighbours(book: Book, fault: Fault) -> tuple[Neighbour, ...]:
    """Faults of the family that share a symptom (first) or a net, with what tells each apart."""
    nets = set(nets_of_fault(book, fault))
    alike = [one for symptom in fault.symptom for one in faults_of_symptom(book, symptom, fault.family)]
    alike += [one for net in nets for one in faults_of_net(book, fault.family, net)]
    found = []
    for other in {one.id: one for one in alike}.values():
        symptoms = tuple(s for s in fault.symptom if s in other.symptom)
        shared = tuple(n for n in nets_of_fault(book, other) if n in nets)
        if other.id != fault.id:
            found.append(Neighbour(other, symptoms, shared, told_apart_by(fault, other)))
    return tuple(sorted(found, key=lambda n: (-len(n.symptoms), -len(n.nets), n.fault.id)))


def told_apart_by(one: Fault, other: Fault) -> tuple[str, ...]:
    """Measurements that tell of either and read no outcome in common, in the order of the first."""
    here, there = one.reads, other.reads
    named = _once(e.measure for e in (*one.readings, *other.readings))
    return tuple(
        name
        for name in named
        if name in here and name in there and not here[name].keys() & there[name].keys()
    )


def test_points_of_net(family: Family, net: str) -> tuple[TestPoint, ...]:
    """The test points on a net."""
    return tuple(point for point in family.test_points.values() if point.net == net)


def measurements_of_net(family: Family, net: str) -> tuple[Measurement, ...]:
    """The measurements taken on a net, also those between it and another."""
    return tuple(m for m in family.measurements.values() if net in m.nets)


def parts_of_net(family: Family, net: str) -> tuple[Part, ...]:
    """The parts that sit on a net."""
    return tuple(part for part in family.parts.values() if net in part.nets)


def coming_of(family: Family, name: str) -> tuple[str, ...]:
    """The symptoms that come of a net or of a part, as the family says."""
    return tuple(symptom for symptom, one in family.symptoms.items() if name in one.of)


def in_circuit(family: Family, net: Net) -> bool:
    """True for a net with an element of the circuit, or that an element of another net names."""
    return bool(net.elements) or any(
        kind == "net" and name == net.id
        for other in family.nets.values()
        for element in other.elements
        for kind, _, name in names_of_element(element)
    )


def fed_from(family: Family, net: str) -> tuple[Net, ...]:
    """The nets that a net feeds."""
    return tuple(other for other in family.nets.values() if net in other.fed_from)


def _once(names: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(names))


@dataclass(frozen=True, slots=True)
class _Link:
    """What a fault leads to, by name."""

    find: Callable[[Book, Fault], tuple[str, ...]]

    def of(self, book: Book, fault: Fault) -> tuple[str, ...]:
        """The names; of a fault of the book they are found once."""
        if book.faults.get(fault.id) is fault:
            return _linked(Same(book), self)[fault.id]
        return self.find(book, fault)


# Seven links, of four books.
@lru_cache(maxsize=28)
def _linked(of_book: Same[Book], link: _Link) -> Mapping[str, tuple[str, ...]]:
    return {id_: link.find(of_book.record, fault) for id_, fault in of_book.record.faults.items()}


@lru_cache(maxsize=28)
def _leading(of_book: Same[Book], link: _Link) -> Mapping[tuple[str | None, str], tuple[Fault, ...]]:
    """The faults by what the link leads to; of one family, and, with None, of all."""
    found: defaultdict[tuple[str | None, str], list[Fault]] = defaultdict(list)
    for id_, names in sorted(_linked(of_book, link).items()):
        fault = of_book.record.faults[id_]
        for name in names:
            found[None, name].append(fault)
            found[fault.family, name].append(fault)
    return {key: tuple(faults) for key, faults in found.items()}


_FAMILY = _Link(lambda _, fault: (fault.family,))
_SYMPTOMS = _Link(lambda _, fault: tuple(fault.symptom))
_MEASUREMENTS = _Link(lambda _, fault: _once(e.measure for e in fault.readings))
_PARTS = _Link(lambda _, fault: parts_of_fault(fault))
_NETS = _Link(_nets)
_TECHNIQUES = _Link(_techniques)
_HAZARDS = _Link(_hazards)
