"""The pages of the book. A module makes the pages of one kind; KINDS lists the modules.

To add a page: write `pages/<kind>.py` with `pages(book)`, its template in `site_overrides/theme/pages/`, and
name the module in KINDS.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from benchlore.book.model import Book
from benchlore.site.page import SiteFile, SitePage
from benchlore.site.pages import (
    bench,
    calculators,
    calibration,
    contribute,
    family,
    fault,
    hazard,
    home,
    meter,
    moved,
    net,
    part,
    state,
    study,
    symptom,
    technique,
)

Maker = Callable[[Book], Iterator[SitePage | SiteFile]]

KINDS: tuple[Maker, ...] = (
    home.pages,
    calculators.pages,
    bench.pages,
    family.pages,
    net.pages,
    part.pages,
    fault.pages,
    symptom.pages,
    technique.pages,
    hazard.pages,
    meter.pages,
    state.pages,
    moved.pages,
    study.pages,
    calibration.pages,
    contribute.pages,
)


def all_pages(
    book: Book, kinds: tuple[Maker, ...] = KINDS
) -> tuple[tuple[SitePage, ...], tuple[SiteFile, ...]]:
    """Every page and every file of the site, in a fixed order.

    Raises ValueError when two of them want the same place, also when only the case of a letter differs.
    """
    pages: list[SitePage] = []
    files: list[SiteFile] = []
    taken: dict[str, str] = {}
    for make in kinds:
        for made in make(book):
            if other := taken.get(made.path.lower()):
                raise ValueError(f"{made.path} and {other} would be the same file")
            taken[made.path.lower()] = made.path
            if isinstance(made, SitePage):
                pages.append(made)
            else:
                files.append(made)
    return tuple(pages), tuple(files)
