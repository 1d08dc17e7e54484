"""The files that the search box loads when it is first used: the index, and what readings can mean."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from benchlore.book.links import by_severity, symptoms_of_family
from benchlore.book.model import Book
from benchlore.book.work import spared
from benchlore.site import paths
from benchlore.site.page import SiteFile, SitePage
from benchlore.site.search.documents import TITLE, Document, documents
from benchlore.site.search.index import build_index
from benchlore.site.search.readings import build_readings
from benchlore.site.serialise import to_script

# Found by their records: what has moved is named where it is now, a symptom leads to its boards.
_LEADS_ELSEWHERE = ("moved.html", "symptom-on.html")


def files(book: Book, pages: Iterable[SitePage] = ()) -> Iterator[SiteFile]:
    """The data of the search for a book; of `pages`, those that show no record are found by their title."""
    records = documents(book)
    known = {document.path.partition("#")[0] for document in records}
    listed = sorted(pages, key=lambda page: page.path)
    others = (p for p in listed if p.path not in known and p.template not in _LEADS_ELSEWHERE)
    found = (*records, *(_page(page) for page in others))
    families = {family.id: family.title for family in book.families.values()}
    dangers = [book.hazards[name] for name in by_severity(book, book.hazards)]
    without = {family.id: spared(family) for family in book.families.values()}
    shown = {family: symptoms_of_family(book, family) for family in families}
    index = build_index(found, families, book.words.values(), dangers, shown, without)
    numbered = [document for document in found if not document.language]
    yield SiteFile(paths.SEARCH_INDEX, to_script("searchIndex", index))
    yield SiteFile(paths.SEARCH_READINGS, to_script("searchReadings", build_readings(book, numbered)))


def _page(page: SitePage) -> Document:
    return Document(
        "page", page.family or "", page.path.removesuffix(".html"), page.title, "", ((TITLE, page.title),)
    )
