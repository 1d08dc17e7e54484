"""What the search knows: the pages of the book, each with its words by weight. Pure functions of the book."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from benchlore.book.ids import name_of
from benchlore.book.links import (
    measurements_of_net,
    nets_of_fault,
    parts_of_net,
    techniques_of_fault,
    test_points_of_net,
)
from benchlore.book.model import Book, Family, Fault, Net, Part, State, Symptom, TestPoint
from benchlore.circuit.power_tree import feeders
from benchlore.site import steps, words
from benchlore.site.paths import PATTERNS
from benchlore.site.search.tokens import head, terms


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of result: its name for people, where its pages lie, and how much it counts among equals."""

    id: str
    title: str
    path: str  # with {family}, {page} and {key}
    weight: float


KINDS = tuple(
    Kind(id_, title, PATTERNS[id_], weight)
    for id_, title, weight in (
        ("symptom", "Symptom", 1.2),
        ("fault", "Fault", 1.0),
        ("net", "Net", 1.1),
        ("part", "Part", 1.1),
        ("test-point", "Test point", 1.0),
        ("technique", "Technique", 1.1),
        ("hazard", "Hazard", 1.0),
        ("meter", "Meter", 1.0),
        ("state", "Bench state", 1.0),
        ("family-state", "Bench state", 1.0),
        ("family", "Family", 1.2),
        ("page", "Page", 0.8),
    )
)

# How much a word counts by where it stands.
ID, TITLE, ALIAS, LINKED, TEXT = 8.0, 6.0, 3.0, 2.0, 1.0

# Volts below which a rail is called with its V for the decimal point: 3V3, but 12V.
_LETTERED = 10.0

Fields = tuple[tuple[float, str], ...]


@dataclass(frozen=True, slots=True)
class Document:
    """One result. `key` fills `{key}` in the kind's path; `MAIN#F1` fills `{page}` and `{key}`.

    `family` may be empty. `detail` is the second line of the result. `fields` are its words by weight, with
    the id where people type it; `voltage` the names that a rail has by its voltage. Neighbours with one key
    lead to one page: the better one is shown. `language`: of its words, where it is another than the book's.
    """

    kind: str
    family: str
    key: str
    title: str
    detail: str
    fields: Fields
    voltage: str = ""
    language: str = ""

    @property
    def path(self) -> str:
        """The page, from the site's root."""
        page, _, key = self.key.rpartition("#")
        kind = next(kind for kind in KINDS if kind.id == self.kind)
        return kind.path.format(family=self.family, page=page, key=key)

    @property
    def id(self) -> str:
        """The key without the page that it stands on."""
        return self.key.rpartition("#")[2]


def documents(book: Book, pages: Iterable[Document] = ()) -> tuple[Document, ...]:
    """Everything that can be found, in the order of KINDS; `pages` adds pages that stand for no record."""
    families = book.families.values()
    return (
        *(document for symptom in book.symptoms.values() for document in _symptom(symptom)),
        *(_fault(book, fault) for fault in book.faults.values()),
        *(_net(family, net) for family in families for net in family.nets.values()),
        *(_part(family, part) for family in families for part in family.parts.values()),
        *(_test_point(family, point) for family in families for point in family.test_points.values()),
        *_techniques(book),
        *_hazards(book),
        *_meters(book),
        *(_state(state) for state in book.states.values()),
        *(_state(state) for family in families for state in family.own_states),
        *(_family(family) for family in families),
        *pages,
    )


def _symptom(symptom: Symptom) -> Iterator[Document]:
    """The symptom, and each way that people say it, so that a sentence is compared with a sentence."""
    about = (
        (TITLE, symptom.title),
        (ALIAS, " ".join(symptom.said)),
        (LINKED, symptom.id.replace("-", " ")),
        (TEXT, plain(symptom.note)),
    )
    yield Document("symptom", "", symptom.id, symptom.title, symptom.said[0] if symptom.said else "", about)
    for said in symptom.said:
        fields = ((ALIAS, said), (LINKED, symptom.title))
        yield Document("symptom", "", symptom.id, symptom.title, said, fields)
    for language, phrases in symptom.said_in.items():
        for said in phrases:
            own = ((ALIAS, said),)
            yield Document("symptom", "", symptom.id, symptom.title, said, own, language=language)


def _fault(book: Book, fault: Fault) -> Document:
    family = book.families.get(fault.family)
    part = family.parts.get(fault.cause.part) if family else None
    cause = f"{fault.cause.part} {part.name}" if part else fault.cause.part
    symptoms = [book.symptoms[s].title for s in fault.symptom if s in book.symptoms]
    techniques = [book.techniques[t].title for t in techniques_of_fault(book, fault) if t in book.techniques]
    fields = (
        (TITLE, fault.title),
        (ALIAS, cause),
        (ALIAS, " ".join([fault.name, *_moved_here(book, fault.id)]).replace("-", " ")),
        (LINKED, " ".join(symptoms)),
        (LINKED, " ".join(nets_of_fault(book, fault))),
        (TEXT, plain(fault.summary)),
        (TEXT, f"{words.cause(fault.cause)}. {plain(fault.cause.how)}"),
        (TEXT, " ".join(techniques)),
        (TEXT, f"{fault.fix.action} {family.title if family else ''}"),
    )
    return Document("fault", fault.family, fault.name, fault.title, cause, fields)


def _moved_here(book: Book, fault: str) -> Iterator[str]:
    """The names that a fault had before."""
    return (name_of(old.id) for old in book.retired.values() if old.moved_to == fault)


def _net(family: Family, net: Net) -> Document:
    points = " ".join(point.id for point in test_points_of_net(family, net.id))
    parts = " ".join(part.id for part in parts_of_net(family, net.id))
    asked = " ".join(plain(m.asks) for m in measurements_of_net(family, net.id))
    called = net.kind == "rail" and not _behind_its_like(family, net)
    fields = (
        (ID, net.id),
        (ALIAS, plain(net.for_)),
        (TITLE if called else LINKED, voltage_names(net)),
        (LINKED, f"{net.kind} {net.bus or ''} {points}"),
        (TEXT, parts),
        (TEXT, asked),
        (TEXT, family.title),
    )
    voltage = voltage_names(net) if called else ""
    return Document("net", family.id, net.id, net.id, short(plain(net.for_)), fields, voltage)


def _behind_its_like(family: Family, net: Net) -> bool:
    """True for a rail behind another of its voltage: `the 5 V rail` is the one that makes them, not what a
    fuse or a MOSFET hands on."""
    return any(volts_of(family.nets[above]) == volts_of(net) for above in feeders(family, net))


def volts_of(net: Net) -> float | None:
    """The voltage by which people call a net; None for one that has none."""
    nominal = net.nominal
    return nominal.middle if nominal and nominal.unit == "V" and math.isfinite(nominal.middle) else None


def voltage_names(net: Net) -> str:
    """The names that a net has by its voltage: `3.3V 3V3`, `5V 5V0`, `12V`."""
    volts = volts_of(net)
    if volts is None:
        return ""
    whole, _, decimals = f"{volts:.3f}".rstrip("0").partition(".")
    lettered = f" {whole}V{decimals or '0'}" if volts < _LETTERED else ""
    return f"{volts:g}V{lettered}"


def _part(family: Family, part: Part) -> Document:
    fields = (
        (ID, part.id),
        (TITLE, part.name),
        (LINKED, part.package),
        (LINKED, " ".join(part.nets)),
        (TEXT, " ".join(_told_of(family, part))),
        (TEXT, family.title),
    )
    return Document("part", family.id, part.id, part.id, f"{part.name}, {part.package}", fields)


def _told_of(family: Family, part: Part) -> Iterator[str]:
    """What its nets are for, where they name the part: where it sits, what moves it. Its name is left out."""
    called = f" {' '.join(head(part.name))} "
    for net in part.nets:
        told = f" {' '.join(terms(plain(family.nets[net].for_)))} " if net in family.nets else ""
        if called.strip() and called in told:
            yield told.replace(called, " ")


def _test_point(family: Family, point: TestPoint) -> Document:
    places = tuple(dict.fromkeys(point.where.values()))
    fields = (
        (ID, point.id),
        (ALIAS, point.net),
        (LINKED, " ".join(plain(place) for place in places)),
        (TEXT, f"test point probe {point.side} {family.title}"),
    )
    where = f"{point.net}, {point.side}: {plain(places[0])}" if places else point.net
    return Document("test-point", family.id, f"{point.net}#{point.id}", point.id, short(where), fields)


def _techniques(book: Book) -> Iterator[Document]:
    for technique in book.techniques.values():
        fields = (
            (TITLE, technique.title),
            (LINKED, plain(technique.summary)),
            (LINKED, " ".join(technique.needs)),
            (TEXT, plain(" ".join(steps.of_technique(technique)))),
        )
        yield Document(
            "technique", "", technique.id, technique.title, short(plain(technique.summary)), fields
        )


def _state(state: State) -> Document:
    how = plain(" ".join(state.how))
    fields = ((TITLE, f"{state.title} {state.short}"), (TEXT, f"bench state {' '.join(state.sources)} {how}"))
    kind = "family-state" if state.family else "state"
    return Document(kind, state.family, state.id, state.title, short(how), fields)


def _hazards(book: Book) -> Iterator[Document]:
    for hazard in book.hazards.values():
        fields = (
            (TITLE, hazard.title),
            (ALIAS, " ".join(hazard.said)),
            (LINKED, f"{hazard.signal} hazard safety {plain(hazard.harm)}"),
            (TEXT, plain(" ".join(hazard.avoid))),
        )
        detail = f"{hazard.signal.capitalize()}: {plain(hazard.harm)}"
        yield Document("hazard", "", hazard.id, hazard.title, short(detail), fields)


def _meters(book: Book) -> Iterator[Document]:
    for meter in book.meters.values():
        fields = ((TITLE, meter.title), (TEXT, f"meter multimeter accuracy {plain(meter.note)}"))
        yield Document("meter", "", meter.id, meter.title, short(plain(meter.note)), fields)


def _family(family: Family) -> Document:
    tells = " ".join(plain(revision.tell) for revision in family.revisions.values())
    fields = (
        (TITLE, family.title),
        (LINKED, f"{family.kind} board family {plain(family.summary)}"),
        (TEXT, tells),
    )
    return Document("family", family.id, family.id, family.title, short(plain(family.summary)), fields)


def plain(prose: str) -> str:
    """Prose without its marks: a link keeps its words and loses its address."""
    return " ".join(re.sub(r"\]\([^)]*\)|[*`\[\]]", "", prose).split())


def short(text: str, most: int = 90) -> str:
    """The beginning of a text, cut between words."""
    if len(text) <= most:
        return text
    return text[:most].rsplit(" ", 1)[0].rstrip(",;:.") + " …"
