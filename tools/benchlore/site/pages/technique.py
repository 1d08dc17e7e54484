"""Technique pages: hazards, what it needs, the steps, where it is used; and their index."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book import links
from benchlore.book.model import Book
from benchlore.site import paths, steps
from benchlore.site.page import SitePage, page_of


def pages(book: Book) -> Iterator[SitePage]:
    """One page a technique, then the index."""
    techniques = [technique for _, technique in sorted(book.techniques.items())]
    for technique in techniques:
        used = [
            (family, [m for m in family.measurements.values() if m.technique == technique.id])
            for _, family in sorted(book.families.items())
        ]
        context = {
            "technique": technique,
            "steps": steps.of_technique(technique),
            "hazards": links.by_severity(book, technique.hazard),
            "faults": links.faults_of_technique(book, technique.id),
            "measurements": [(family, found) for family, found in used if found],
        }
        yield page_of(technique, paths.technique(technique.id), technique.title, "technique.html", context)
    counted = [(technique, links.faults_of_technique(book, technique.id)) for technique in techniques]
    yield SitePage(paths.TECHNIQUES, "Techniques", "techniques.html", {"techniques": counted})
