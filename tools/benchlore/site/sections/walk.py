"""What the walk adds to the pages: the way to it from a family."""

from __future__ import annotations

from benchlore.book.model import Book, Family
from benchlore.site.sections.section import Section
from benchlore.walk.order import walk_minutes, walked


def ways(book: Book, family: Family) -> Section | None:
    """The page and the sheet of a family's walk; None for one without measurements."""
    count = len(walked(family))
    if count == 0:
        return None
    context = {"family": family, "count": count, "minutes": walk_minutes(book, family)}
    return Section("walk", "Walk a good board", "_walk.html", context)
