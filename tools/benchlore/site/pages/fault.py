"""Fault pages: the bench card, and their index."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from benchlore.book import links
from benchlore.book.model import Book, Family, Fault, Measurement, Outcome
from benchlore.site import paths, steps
from benchlore.site.page import Named, SitePage, page_of
from benchlore.site.plans import plans_of
from benchlore.site.probe_table import Row, check_first, place_of, price_of, probes, rows, telling_rows
from benchlore.site.sections import sections, styles_of
from benchlore.site.sections.diagnosis import Ways, reached

SHOWN = 2  # readings that tell a fault; those after them are folded
LOOK_ALIKES = 8  # told apart on the page, those seen most; the symptom's page has what each of all reads
STRIPS = 2  # drawn on a page; the table says what every row reads


@dataclass(frozen=True, slots=True)
class Told:
    """A measurement that tells a fault from others: what it reads with this one, and with which others what.

    `hazards`: what the measurement brings.
    """

    measurement: Measurement
    hazards: tuple[str, ...]
    here: tuple[Outcome, ...]
    there: tuple[tuple[tuple[Outcome, ...], tuple[Named, ...]], ...]


@dataclass(frozen=True, slots=True)
class Kin:
    """Neighbours of a fault, by the measurements that tell them from it. `alike`: those that none tells.
    `more`: how many are left out, all of them seen less often."""

    told: tuple[Told, ...]
    alike: tuple[Named, ...]
    more: int

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.alike) + sum(len(others) for one in self.told for _, others in one.there)


def of_family(book: Book, family: Family) -> Iterator[SitePage]:
    """One bench card a fault."""
    known = plans_of(book, family)
    ways = Ways(known) if known else None
    for fault in links.faults_of_family(book, family.id):
        yield _card(book, fault, ways)


def page(book: Book, fault: Fault) -> SitePage:
    """The bench card of one fault."""
    known = plans_of(book, book.families[fault.family])
    return _card(book, fault, Ways(known) if known else None)


def pages(book: Book) -> Iterator[SitePage]:
    """The index."""
    families = [(f, links.faults_of_family(book, f.id)) for _, f in sorted(book.families.items())]
    yield SitePage(paths.FAULTS, "Faults", "faults.html", {"families": families})


def kin(book: Book, fault: Fault) -> tuple[Kin, tuple[Named, ...]]:
    """The neighbours: those that share a symptom, and those that share nets alone: the symptom tells them."""
    found = links.neighbours(book, fault)
    near = tuple(_named(n.fault) for n in found if not n.symptoms)
    return _kin(book, fault, [n for n in found if n.symptoms]), near


def _kin(book: Book, fault: Fault, found: Sequence[links.Neighbour]) -> Kin:
    """Few measurements that tell as many as they can: first what tells most of those that are left."""
    shown = sorted(found, key=lambda n: -n.fault.seen)[:LOOK_ALIKES]
    left = [n for n in shown if n.told_apart_by]
    told = []
    while left:
        by = Counter(name for n in left for name in n.told_apart_by)
        best = max(by, key=lambda name: by[name])
        told.append(_told(book, fault, best, [n.fault for n in left if best in n.told_apart_by]))
        left = [n for n in left if best not in n.told_apart_by]
    return Kin(
        tuple(told), tuple(_named(n.fault) for n in shown if not n.told_apart_by), len(found) - len(shown)
    )


def _told(book: Book, fault: Fault, name: str, others: Sequence[Fault]) -> Told:
    family = book.families[fault.family]
    measurement = family.measurements[name]
    there: dict[tuple[Outcome, ...], list[Named]] = {}
    for other in others:
        there.setdefault(_outcomes(measurement, other.reads[name]), []).append(_named(other))
    return Told(
        measurement,
        links.hazards_of_measurement(book, family, measurement),
        _outcomes(measurement, fault.reads[name]),
        tuple((outcomes, tuple(named)) for outcomes, named in there.items()),
    )


def _named(fault: Fault) -> Named:
    return Named(fault.id, fault.title)


def _outcomes(measurement: Measurement, row: Mapping[str, float]) -> tuple[Outcome, ...]:
    return tuple(measurement.outcomes[name] for name, share in row.items() if share > 0)


def _beside(book: Book, fault: Fault, standing: tuple[str, ...]) -> tuple[str, ...]:
    """The hazards of every job without those that a symptom has which the fault always shows."""
    always = [name for name, often in fault.symptom.items() if often == "always" and name in book.symptoms]
    about = {hazard for name in always for hazard in book.symptoms[name].hazard}
    return tuple(hazard for hazard in standing if hazard not in about)


def _card(book: Book, fault: Fault, ways: Ways | None) -> SitePage:
    family = book.families[fault.family]
    plan = reached(book, ways, fault) if ways else None
    table = rows(book, fault)
    extra = (*((plan,) if plan else ()), *sections("fault", book, fault))
    revisions = links.revisions_of(book, fault)
    close, near = kin(book, fault)
    context = {
        "fault": fault,
        "steps": _steps(book, fault),
        "place": place_of(family, fault.cause.part, table),
        "check_first": check_first(family, fault, table),
        "price": price_of(book, fault),
        "family": family,
        "revisions": [family.revisions[r] for r in revisions],
        "limited": len(revisions) < len(family.revisions),
        "hazards": links.hazards_of_fault(book, fault),
        "standing": _beside(book, fault, links.standing_hazards(book, family)),
        "telling": telling_rows(table),
        "shown": SHOWN,
        "same": tuple(row for row in table if row.tells_nothing),
        "strips": _strips(table),
        "probes": probes(table),
        "nets": links.nets_of_fault(book, fault),
        "parts": links.parts_of_fault(fault),
        "techniques": links.techniques_of_fault(book, fault),
        "proof": _proof(family, fault),
        "kin": close,
        "near": near,
        "sections": extra,
    }
    toc = (("measure", "Measure"), ("fix", "Fix"), ("proof", "Proof"))
    path, styles = paths.fault(fault.id), styles_of(extra)
    return page_of(fault, path, fault.title, "fault.html", context, family=family.id, styles=styles, toc=toc)


def _proof(family: Family, fault: Fault) -> tuple[tuple[Measurement, Outcome], ...]:
    named = ((family.measurements[name], outcome) for name, outcome in fault.fix.confirm.items())
    return tuple((measurement, measurement.outcomes[outcome]) for measurement, outcome in named)


def _strips(table: Sequence[Row]) -> tuple[tuple[Row, ...], ...]:
    """The first rows in which the fault shows, those whose strips are the same together."""
    alike: dict[object, list[Row]] = {}
    for row in table:
        if not row.reads_healthy:
            outcomes = tuple((o.id, o.range, o.normal) for o in row.measurement.outcomes.values())
            key = outcomes, tuple(row.expectation.expected_reading.items())
            alike.setdefault(key, []).append(row)
    return tuple(map(tuple, alike.values()))[:STRIPS]


Brought = tuple[tuple[str, tuple[str, ...]], ...]


def _steps(book: Book, fault: Fault) -> tuple[tuple[str, Brought], ...]:
    """The steps of the fix in words, each with the hazards that none before it brought, by signal word."""
    met: set[str] = set()
    found = []
    brought = links.hazards_by_step(book, fault)
    for said, hazards in zip(steps.of_fix(book, fault), brought, strict=True):
        new = [name for name in hazards if name not in met]
        by_signal = groupby(new, key=lambda name: book.hazards[name].signal)
        found.append((said, tuple((signal, tuple(names)) for signal, names in by_signal)))
        met.update(hazards)
    return tuple(found)
