"""Fault pages: the bench card, and their index."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from benchlore.book import links
from benchlore.book.model import Book, Family, Fault, Measurement, Net, Outcome
from benchlore.site import paths, steps
from benchlore.site.page import Named, SitePage
from benchlore.site.paper import density, printed_strips
from benchlore.site.plans import plans_of
from benchlore.site.probe_table import probes, rows
from benchlore.site.sections import scripts_of, sections, styles_of, toc_of
from benchlore.site.sections.diagnosis import Ways, reached


@dataclass(frozen=True, slots=True)
class Apart:
    """A measurement that tells two faults apart: what it reads with either."""

    measurement: Measurement
    net: Net
    here: tuple[Outcome, ...]
    there: tuple[Outcome, ...]


@dataclass(frozen=True, slots=True)
class Kin:
    """A neighbour of a fault, with what tells them apart."""

    fault: Named
    symptoms: tuple[str, ...]
    nets: tuple[str, ...]
    apart: tuple[Apart, ...]


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


def kin(book: Book, fault: Fault) -> tuple[Kin, ...]:
    """The neighbours, those that share a symptom first."""
    return tuple(
        Kin(
            Named(n.fault.id, n.fault.title),
            n.symptoms,
            n.nets,
            _apart(book, fault, n.fault, n.told_apart_by),
        )
        for n in links.neighbours(book, fault)
    )


def _card(book: Book, fault: Fault, ways: Ways | None) -> SitePage:
    family = book.families[fault.family]
    plan = reached(book, ways, fault) if ways else None
    table = rows(book, fault)
    extra = (*((plan,) if plan else ()), *sections("fault", book, fault))
    revisions = links.revisions_of(book, fault)
    hazards = links.hazards_of_fault(book, fault)
    done = steps.of_fix(book, fault)
    context = {
        "fault": fault,
        "steps": done,
        "family": family,
        "revisions": [family.revisions[r] for r in revisions],
        "limited": len(revisions) < len(family.revisions),
        "hazards": hazards,
        "standing": links.standing_hazards(book, family),
        "telling": tuple(row for row in table if not row.tells_nothing),
        "same": tuple(row for row in table if row.tells_nothing),
        "probes": probes(table),
        "density": density(fault, done, family, [book.hazards[h] for h in hazards], table),
        "printed_strips": printed_strips(table),
        "nets": links.nets_of_fault(book, fault),
        "parts": links.parts_of_fault(fault),
        "techniques": links.techniques_of_fault(book, fault),
        "proof": _proof(family, fault),
        "kin": kin(book, fault),
        "sections": extra,
    }
    toc = (("measure", "Measure"), ("cause", "Cause"), ("fix", "Fix"), ("proof", "Proof"), *toc_of(extra))
    return SitePage(
        paths.fault(fault.id),
        fault.title,
        "fault.html",
        context,
        source=fault.origin.file,
        record=fault,
        family=family.id,
        styles=styles_of(extra),
        scripts=scripts_of(extra),
        toc=(*toc, ("neighbours", "Easily taken for")),
    )


def _proof(family: Family, fault: Fault) -> tuple[tuple[Measurement, Outcome], ...]:
    named = ((family.measurements[name], outcome) for name, outcome in fault.fix.confirm.items())
    return tuple((measurement, measurement.outcomes[outcome]) for measurement, outcome in named)


def _apart(book: Book, one: Fault, other: Fault, names: tuple[str, ...]) -> tuple[Apart, ...]:
    family = book.families[one.family]
    here, there = one.reads, other.reads
    found = []
    for name in names:
        measurement = family.measurements[name]
        net = family.nets[measurement.net]
        found.append(
            Apart(measurement, net, _named(measurement, here[name]), _named(measurement, there[name]))
        )
    return tuple(found)


def _named(measurement: Measurement, row: Mapping[str, float]) -> tuple[Outcome, ...]:
    return tuple(measurement.outcomes[name] for name, share in row.items() if share > 0)
