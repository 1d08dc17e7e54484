"""Bench state pages: how to set the bench up, what is measured then; and their index."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from benchlore.book import links
from benchlore.book.model import Book, Family, State
from benchlore.site import paths
from benchlore.site.page import SitePage, page_of
from benchlore.site.sections.circuit import up_in


def pages(book: Book) -> Iterator[SitePage]:
    """One page a common bench state, then the index of all."""
    states = [state for _, state in sorted(book.states.items())]
    families = [family for _, family in sorted(book.families.items())]
    for state in states:
        yield _page(book, state, [family for family in families if state.id in family.states])
    own = [(family, family.own_states) for family in families if family.own_states]
    yield SitePage(paths.STATES, "Bench states", "states.html", {"states": states, "own": own})


def of_family(book: Book, family: Family) -> Iterator[SitePage]:
    """One page a bench state that the family alone has."""
    for state in family.own_states:
        yield replace(_page(book, state, [family]), family=family.id)


def _page(book: Book, state: State, families: list[Family]) -> SitePage:
    found = []
    for family in families:
        measurements = [m for m in family.measurements.values() if m.state == state.id]
        up = [net for net in family.nets.values() if state.id in up_in(book, family, net)]
        if measurements or up:
            found.append((family, measurements, up))
    context = {"state": state, "hazards": links.by_severity(book, state.hazard), "families": found}
    return page_of(state, paths.state(state), state.title, "state.html", context)
