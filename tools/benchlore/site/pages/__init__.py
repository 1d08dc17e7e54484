"""The pages of the book. A module makes the pages of one kind; KINDS lists the modules.

To add a page: write `pages/<kind>.py` with `pages(book)`, its template in `site_overrides/theme/pages/`, and
name it in KINDS. What comes from the records of one family alone is made by `of_family(book, family)`, named
in FAMILY_KINDS; it gets no other family, so that a build knows which pages a changed record can reach.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from benchlore.book import links
from benchlore.book.model import Book, Family
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

Made = SitePage | SiteFile
Maker = Callable[[Book], Iterator[Made]]
FamilyMaker = Callable[[Book, Family], Iterator[Made]]

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
    calibration.pages,
    contribute.pages,
)


FAMILY_KINDS: tuple[FamilyMaker, ...] = (
    bench.of_family,
    family.of_family,
    net.of_family,
    part.of_family,
    fault.of_family,
    state.of_family,
    study.of_family,
)


def pages_of_family(book: Book, name: str) -> Iterator[Made]:
    """Pages and files that come from the records of one family and the common ones alone."""
    known = links.book_of(book, name)
    for make in FAMILY_KINDS:
        yield from make(known, known.families[name])


def pages_of_book(book: Book, kinds: tuple[Maker, ...] = KINDS) -> Iterator[Made]:
    """Pages and files that come from the records of several families, or of none."""
    for make in kinds:
        yield from make(book)


def refuse_twins(wanted: Iterable[str]) -> None:
    """Raise ValueError when two files want the same place, also when only the case of a letter differs."""
    taken: dict[str, str] = {}
    for path in wanted:
        other = taken.setdefault(path.lower(), path)
        if other is not path:
            raise ValueError(f"{path} and {other} would be the same file")
