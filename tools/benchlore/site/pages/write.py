"""The form for a fault pattern, for somebody who knows boards and not YAML; and the data that it works on."""

from __future__ import annotations

from collections.abc import Iterator

from benchlore.book.model import Book, Family
from benchlore.site import paths, write_data
from benchlore.site.bench_scripts import RANKING, files
from benchlore.site.page import SiteFile, SitePage

# The bench page's arithmetic and elements, then the form's own; in the order in which they build on each
# other.
_BENCH_SCRIPTS = (*RANKING, "jobfile", "symptoms", "dom", "hazards")
_WRITE_SCRIPTS = (
    "yaml",
    "record",
    "circuit",
    "work",
    "short",
    "effect",
    "labels",
    "keep",
    "options",
    "fields",
    "steps",
    "sections",
    "findings",
    "result",
    "page",
)
SCRIPTS = (
    paths.VOCABULARY_DATA,
    paths.BENCH_DATA,
    paths.WRITE_DATA,
    "assets/js/typed.js",
    "assets/js/form.js",
    "assets/js/records.js",
    "assets/js/personal.js",
    *files(_BENCH_SCRIPTS),
    *(f"assets/js/write/{name}.js" for name in _WRITE_SCRIPTS),
)


def pages(book: Book) -> Iterator[SitePage | SiteFile]:
    """The page, and the data that all families share."""
    yield SitePage(
        paths.WRITE,
        "Write down a fault",
        "write.html",
        {"families": [record for _, record in sorted(book.families.items())]},
        section="",
        scripts=SCRIPTS,
        styles=("assets/css/bench.css", "assets/css/contribute.css", "assets/css/write.css"),
    )
    yield write_data.common_file(book)


def of_family(book: Book, family: Family) -> Iterator[SiteFile]:
    """The family's data."""
    yield write_data.family_file(book, family)
