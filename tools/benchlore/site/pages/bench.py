"""The bench page: one page that a technician keeps open beside the board, and the data that it works on."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book.model import Book, Family
from benchlore.site import data, paths, vocabulary_data
from benchlore.site.bench_scripts import RANKING, files
from benchlore.site.page import SiteFile, SitePage

# In the order in which they build on each other.
SCRIPTS = (
    paths.VOCABULARY_DATA,
    "assets/js/typed.js",
    paths.BENCH_DATA,
    "assets/js/form.js",
    "assets/js/records.js",
    "assets/js/search-engine.js",
    "assets/js/personal.js",
    *files(
        (
            *RANKING,
            "jobfile",
            "address",
            "symptoms",
            "keep",
            "dom",
            "hazards",
            "parts",
            "field",
            "view-next",
            "view-verdict",
            "sheet",
            "view-fix",
            "view-suspect",
            "view-card",
            "view-setup",
            "view-ranking",
            "view-history",
            "view-dialogs",
            "state",
            "render",
            "prepare",
            "update",
            "open",
            "acts",
            "keys",
            "page",
        )
    ),
)


def pages(book: Book) -> Iterator[SitePage | SiteFile]:
    """The page, the vocabulary, and the data that all families share."""
    yield SitePage(
        paths.BENCH,
        "At the bench",
        "bench.html",
        {"families": [record for _, record in sorted(book.families.items())]},
        section="bench",
        scripts=SCRIPTS,
        styles=("assets/css/bench.css",),
    )
    yield vocabulary_data.file()
    yield data.common_file(book)


def of_family(book: Book, family: Family) -> Iterator[SiteFile]:
    """The family's data."""
    yield data.family_file(book, family)
