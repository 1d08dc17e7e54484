"""Symptom pages: the boards that show it with their first readings; the plan on each board; their index.

What a board says of a symptom stands on a page of its own, made with the family's other pages: a reader
opens one board, and a changed record reaches that board's page alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from benchlore.book import links
from benchlore.book.model import Book, Family, Fault, Outcome, Symptom
from benchlore.book.work import spared
from benchlore.site import paths, words
from benchlore.site.page import Named, SitePage, page_of
from benchlore.site.plans import FamilyPlans, brief, plans, plans_of
from benchlore.site.probe_table import rows
from benchlore.site.sections import diagnosis
from benchlore.site.sections.diagnosis import MatrixRow, Planned, matrix, planned
from benchlore.vocabulary import FREQUENCIES

_OFTEN = tuple(FREQUENCIES)


@dataclass(frozen=True, slots=True)
class Begins:
    """How the plan begins on a board: `where`, `how` and in which `state` to measure, and what it reads on a
    healthy board; or, before any reading, `do` alone. `places`: of the point, by revisions.

    `faults`: how many of the board show the symptom. `minutes`: expected by the plan. `hazards`: of the step.
    """

    board: Named
    faults: int
    minutes: float
    do: str
    where: str
    places: tuple[tuple[tuple[str, ...], str], ...]
    how: str
    state: str
    healthy: tuple[Outcome, ...]
    hazards: tuple[str, ...]


def pages(book: Book) -> Iterator[SitePage]:
    """One page a symptom, then the index."""
    symptoms = [symptom for _, symptom in sorted(book.symptoms.items())]
    for symptom in symptoms:
        yield page(book, symptom)
    yield SitePage(paths.SYMPTOMS, "Symptoms", "symptoms.html", {"symptoms": by_seen(book)})


def of_family(book: Book, family: Family) -> Iterator[SitePage]:
    """One page a symptom that the family's faults show."""
    known = plans_of(book, family)
    for name in links.symptoms_of_family(book, family.id):
        if known:
            yield _on(book, known, book.symptoms[name])


def by_seen(book: Book) -> list[tuple[Symptom, tuple[Fault, ...]]]:
    """The symptoms seen most often first, each with the faults that show it, family by family."""
    found = [(symptom, links.faults_of_symptom(book, symptom.id)) for symptom in book.symptoms.values()]
    return sorted(found, key=lambda one: (-sum(fault.seen for fault in one[1]), one[0].id))


def page(book: Book, symptom: Symptom) -> SitePage:
    """The page of one symptom: each board that shows it with its first step."""
    known = plans(book)
    shown = [f for _, f in sorted(book.families.items()) if links.faults_of_symptom(book, symptom.id, f.id)]
    context = {
        "symptom": symptom,
        "own": [h for h in symptom.hazard if not shown or any(h not in spared(f) for f in shown)],
        "boards": [begins(book, known[family.id], symptom.id) for family in shown],
    }
    path, styles = paths.symptom(symptom.id), diagnosis.STYLES
    return page_of(symptom, path, symptom.title, "symptom.html", context, styles=styles)


def page_on(book: Book, family: Family, symptom: Symptom) -> SitePage | None:
    """The page of a symptom on one board; None where no fault of it shows it."""
    known = plans_of(book, family)
    return _on(book, known, symptom) if known and symptom.id in known.plans else None


def begins(book: Book, known: FamilyPlans, symptom: str) -> Begins:
    """The first step of a plan, as the symptom's page shows it."""
    family, found = known.family, brief(known, symptom)
    count = len(links.faults_of_symptom(book, symptom, family.id))
    of_board = Named(family.id, family.title), count, found.expected
    step = found.shown.lines[0].step
    measurement = family.measurements.get(step.id) if step and step.kind == "measure" else None
    if measurement is None:
        plan = planned(book, known, symptom)
        return Begins(*of_board, plan.rows[0].what, "", (), "", "", (), plan.hazards)
    unplugged = words.listing([f"unplug {part}" for part in measurement.unplugged])
    return Begins(
        *of_board,
        "",
        words.probed(measurement),
        words.places(family, family.test_points[measurement.at]),
        "; ".join((measurement.function.phrase, *words.besides(measurement))),
        ", ".join(filter(None, (family.state_of(measurement).short, unplugged))),
        tuple(outcome for outcome in measurement.outcomes.values() if outcome.normal),
        links.hazards_of_measurement(book, family, measurement),
    )


def _on(book: Book, known: FamilyPlans, symptom: Symptom) -> SitePage:
    family = known.family
    faults = sorted(
        links.faults_of_symptom(book, symptom.id, family.id), key=lambda fault: _rank(fault, symptom.id)
    )
    plan, read = planned(book, known, symptom.id), matrix(family, faults)
    own = links.of_family(book, family, symptom.hazard)
    hazards = links.by_severity(book, [*own, *_hazards(book, family, plan, read)])
    return SitePage(
        paths.symptom_on(family.id, symptom.id),
        symptom.title,
        "symptom-on.html",
        {
            "symptom": symptom,
            "family": family,
            "own": own,
            "faults": [(fault, rows(book, fault)[:1]) for fault in faults],
            "planned": plan,
            "rows": read,
            "hazards": hazards,
            "standing": links.standing_hazards(book, family),
        },
        family=family.id,
        styles=diagnosis.STYLES,
    )


def _hazards(book: Book, family: Family, plan: Planned, rows: tuple[MatrixRow, ...]) -> tuple[str, ...]:
    """Those of the plan's steps and of what the matrix measures."""
    read = (h for row in rows for h in links.hazards_of_measurement(book, family, row.measurement))
    return (*plan.hazards, *read)


def _rank(fault: Fault, symptom: str) -> tuple[int, int, str]:
    return -fault.seen, _OFTEN.index(fault.symptom[symptom]), fault.id
