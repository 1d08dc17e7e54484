"""Pages of fault ids that are no longer in use: a small page that leads on."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book import links
from benchlore.book.ids import family_of
from benchlore.book.model import Book
from benchlore.site import paths
from benchlore.site.page import SitePage, page_of


def pages(book: Book) -> Iterator[SitePage]:
    """One page an id that moved or was retired."""
    for name, gone in sorted(book.retired.items()):
        family = book.families.get(family_of(name))
        successor = _follow(book, gone.moved_to)
        context = {
            "gone": gone,
            "successor": book.faults.get(successor or ""),
            "family": family,
            "faults": links.faults_of_family(book, family.id) if family else (),
        }
        title = "This record has moved" if gone.moved_to else "This record was retired"
        yield page_of(gone, paths.fault(name), title, "moved.html", context)


def _follow(book: Book, name: str | None) -> str | None:
    """The end of a chain of moves; None when it runs in a circle or ends at a retired record."""
    seen: set[str] = set()
    while name and name in book.retired and name not in seen:
        seen.add(name)
        name = book.retired[name].moved_to
    return name if name in book.faults else None
