"""What this book covers: families and kinds of fault, and where it is thin."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book.model import Book
from benchlore.site import paths
from benchlore.site.coverage import coverage
from benchlore.site.page import SitePage
from benchlore.vocabulary import FEW_FAULTS

_SECTIONS = {
    "by-area": "By what fails",
    "by-part": "By the part at fault",
    "depth": "How deep it goes",
    "thin": "Where it is thin",
}


def pages(book: Book) -> Iterator[SitePage]:
    """The one page."""
    context = {"covered": coverage(book), "few": FEW_FAULTS}
    toc = tuple(_SECTIONS.items())
    yield SitePage(paths.COVERAGE, "What this book covers", "coverage.html", context, section="look", toc=toc)
