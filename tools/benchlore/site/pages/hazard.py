"""Hazard pages: what can happen, how to avoid it, where it lurks; and their index, most serious first."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book import links
from benchlore.book.model import Book, State
from benchlore.site import paths
from benchlore.site.page import SitePage, page_of


def _states(book: Book) -> list[State]:
    """The common bench states, then those that one family alone has."""
    families = [family for _, family in sorted(book.families.items())]
    common = [state for _, state in sorted(book.states.items())]
    return [*common, *(state for family in families for state in family.own_states)]


def pages(book: Book) -> Iterator[SitePage]:
    """One page a hazard, then the index."""
    hazards = [book.hazards[name] for name in links.by_severity(book, sorted(book.hazards))]
    for hazard in hazards:
        context = {
            "hazard": hazard,
            "faults": links.faults_of_hazard(book, hazard.id),
            "techniques": [t for _, t in sorted(book.techniques.items()) if hazard.id in t.hazard],
            "symptoms": [s for _, s in sorted(book.symptoms.items()) if hazard.id in s.hazard],
            "states": [s for s in _states(book) if hazard.id in s.hazard],
        }
        yield page_of(hazard, paths.hazard(hazard.id), hazard.title, "hazard.html", context)
    counted = [(hazard, links.faults_of_hazard(book, hazard.id)) for hazard in hazards]
    yield SitePage(paths.HAZARDS, "Hazards", "hazards.html", {"hazards": counted})
