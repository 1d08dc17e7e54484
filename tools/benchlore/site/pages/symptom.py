"""Symptom pages: how people say it, and the faults that show it, family by family; and their index."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book import links
from benchlore.book.model import Book, Fault, Symptom
from benchlore.site import paths
from benchlore.site.page import SitePage
from benchlore.site.sections import scripts_of, sections, styles_of, toc_of
from benchlore.site.table import rows

_OFTEN = ("always", "often", "sometimes")


def pages(book: Book) -> Iterator[SitePage]:
    """One page a symptom, then the index."""
    symptoms = [symptom for _, symptom in sorted(book.symptoms.items())]
    for symptom in symptoms:
        yield _page(book, symptom)
    counted = [(symptom, links.faults_of_symptom(book, symptom.id)) for symptom in symptoms]
    yield SitePage(paths.SYMPTOMS, "Symptoms", "symptoms.html", {"symptoms": counted})


def _page(book: Book, symptom: Symptom) -> SitePage:
    families = []
    for _, family in sorted(book.families.items()):
        faults = sorted(
            links.faults_of_symptom(book, symptom.id, family.id), key=lambda f: _rank(f, symptom.id)
        )
        if faults:
            families.append((family, [(fault, rows(book, fault)[:1]) for fault in faults]))
    extra = sections("symptom", book, symptom)
    return SitePage(
        paths.symptom(symptom.id),
        symptom.title,
        "symptom.html",
        {"symptom": symptom, "families": families, "sections": extra},
        source=symptom.origin.file,
        record=symptom,
        styles=styles_of(extra),
        scripts=scripts_of(extra),
        toc=(*((f"in-{family.id}", family.title) for family, _ in families), *toc_of(extra)),
    )


def _rank(fault: Fault, symptom: str) -> tuple[int, int, str]:
    return -fault.seen, _OFTEN.index(fault.symptoms[symptom]), fault.id
