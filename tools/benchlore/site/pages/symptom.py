"""Symptom pages: how people say it, and the faults that show it, family by family; and their index."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book import links
from benchlore.book.model import Book, Family, Fault, Symptom
from benchlore.book.work import spared
from benchlore.site import paths
from benchlore.site.page import SitePage
from benchlore.site.plans import plans
from benchlore.site.probe_table import rows
from benchlore.site.sections import diagnosis, scripts_of, sections, styles_of, toc_of
from benchlore.site.sections.diagnosis import MatrixRow, Planned, matrix, planned
from benchlore.vocabulary import FREQUENCIES

_OFTEN = tuple(FREQUENCIES)


def pages(book: Book) -> Iterator[SitePage]:
    """One page a symptom, then the index."""
    symptoms = [symptom for _, symptom in sorted(book.symptoms.items())]
    for symptom in symptoms:
        yield page(book, symptom)
    yield SitePage(paths.SYMPTOMS, "Symptoms", "symptoms.html", {"symptoms": by_seen(book)})


def by_seen(book: Book) -> list[tuple[Symptom, tuple[Fault, ...]]]:
    """The symptoms seen most often first, each with the faults that show it, family by family."""
    found = [(symptom, links.faults_of_symptom(book, symptom.id)) for symptom in book.symptoms.values()]
    return sorted(found, key=lambda one: (-sum(fault.seen for fault in one[1]), one[0].id))


def page(book: Book, symptom: Symptom) -> SitePage:
    """The page of one symptom."""
    known = plans(book)
    families = []
    for _, family in sorted(book.families.items()):
        faults = sorted(
            links.faults_of_symptom(book, symptom.id, family.id), key=lambda f: _rank(f, symptom.id)
        )
        if faults:
            first = [(fault, rows(book, fault)[:1]) for fault in faults]
            plan = planned(book, known[family.id], symptom.id)
            families.append((family, first, plan, matrix(family, faults)))
    extra = sections("symptom", book, symptom)
    own = [h for h in symptom.hazard if not families or any(h not in spared(f) for f, *_ in families)]
    return SitePage(
        paths.symptom(symptom.id),
        symptom.title,
        "symptom.html",
        {
            "symptom": symptom,
            "own": own,
            "families": families,
            "hazards": [
                name
                for name in links.by_severity(book, [h for one in families for h in _hazards(book, *one)])
                if name not in own
            ],
            "standing": links.by_severity(
                book, [h for family, *_ in families for h in links.standing_hazards(book, family)]
            ),
            "sections": extra,
        },
        source=symptom.origin.file,
        record=symptom,
        styles=(*diagnosis.STYLES, *styles_of(extra)),
        scripts=scripts_of(extra),
        toc=(*((f"in-{family.id}", family.title) for family, *_ in families), *toc_of(extra)),
    )


def _hazards(
    book: Book, family: Family, _: object, plan: Planned, rows: tuple[MatrixRow, ...]
) -> tuple[str, ...]:
    """Those of the plan's steps and of what the matrix measures."""
    read = (h for row in rows for h in links.hazards_of_measurement(book, family, row.measurement))
    return (*plan.hazards, *read)


def _rank(fault: Fault, symptom: str) -> tuple[int, int, str]:
    return -fault.seen, _OFTEN.index(fault.symptom[symptom]), fault.id
