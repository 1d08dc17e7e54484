"""The home page with its three doors, and the pages behind two of them."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book import links
from benchlore.book.model import Book
from benchlore.site import paths
from benchlore.site.page import SitePage
from benchlore.site.pages.symptom import by_seen


def pages(book: Book) -> Iterator[SitePage]:
    """Home, look it up, learn."""
    families = [(f, len(links.faults_of_family(book, f.id))) for _, f in sorted(book.families.items())]
    shown = [(symptom, faults) for symptom, faults in by_seen(book) if faults]
    context = {"families": families, "symptoms": shown, "faults": len(book.faults)}
    yield SitePage(paths.HOME, "Benchlore", "home.html", context, section="")
    yield SitePage(paths.LOOK_UP, "Look it up", "look-up.html", context, section="look")
    yield SitePage(paths.LEARN, "Learn", "learn.html", context, section="learn")
