"""Bench state pages: how to set the bench up, what is measured then; and their index."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book import links
from benchlore.book.model import Book
from benchlore.site import paths
from benchlore.site.page import SitePage


def pages(book: Book) -> Iterator[SitePage]:
    """One page a bench state, then the index."""
    states = [state for _, state in sorted(book.states.items())]
    for state in states:
        families = []
        for _, family in sorted(book.families.items()):
            measurements = [m for m in family.measurements.values() if m.state == state.id]
            up = [net for net in family.nets.values() if state.id in net.up_in]
            if measurements or up:
                families.append((family, measurements, up))
        yield SitePage(
            paths.state(state.id),
            state.title,
            "state.html",
            {"state": state, "hazards": links.by_severity(book, state.hazard), "families": families},
            source=state.origin.file,
            record=state,
        )
    yield SitePage(paths.STATES, "Bench states", "states.html", {"states": states})
