"""The pages of the book. A module makes the pages of one kind; KINDS lists the modules.

To add a page: write `pages/<kind>.py` with `pages(book)`, its template in `site_overrides/theme/pages/`, and
name it in KINDS. What comes from the records of one family alone is made by `of_family(book, family)`, named
in FAMILY_KINDS; it gets no other family, so that a build knows which pages a changed record can reach.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from benchlore.book import links
from benchlore.book.model import Book, Family
from benchlore.site import paths
from benchlore.site.page import SiteFile, SitePage
from benchlore.site.pages import (
    bench,
    calculators,
    calibration,
    contribute,
    coverage,
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
    walk,
    write,
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
    coverage.pages,
    contribute.pages,
    walk.pages,
    write.pages,
)


FAMILY_KINDS: tuple[FamilyMaker, ...] = (
    bench.of_family,
    family.of_family,
    net.of_family,
    part.of_family,
    fault.of_family,
    symptom.of_family,
    state.of_family,
    study.of_family,
    walk.of_family,
    write.of_family,
)


# Kinds whose pages wait for the plans of all symptoms, or come with the data of the bench and of the study.
_LONG = (
    symptom.pages,
    calibration.pages,
    bench.pages,
    fault.of_family,
    symptom.of_family,
    bench.of_family,
    study.of_family,
    write.of_family,
)


def pages_of_family(book: Book, name: str, kinds: tuple[FamilyMaker, ...] = FAMILY_KINDS) -> Iterator[Made]:
    """Pages and files that come from the records of one family and the common ones alone."""
    known = links.book_of(book, name)
    for make in kinds:
        yield from make(known, known.families[name])


def pages_of_book(book: Book, kinds: tuple[Maker, ...] = KINDS) -> Iterator[Made]:
    """Pages and files that come from the records of several families, or of none."""
    for make in kinds:
        yield from make(book)


def page_at(book: Book, path: str) -> SitePage | None:
    """The page at a path, made by itself; None where none is, and for one that waits for many others."""
    family = path.split("/")[0]
    for shown in book.faults.values():
        if paths.fault(shown.id) == path:
            return fault.page(links.book_of(book, family), shown)
    for seen in book.symptoms.values():
        if paths.symptom(seen.id) == path:
            return symptom.page(book, seen)
        if family in book.families and paths.symptom_on(family, seen.id) == path:
            return symptom.page_on(links.book_of(book, family), book.families[family], seen)
    if family in book.families:
        made = pages_of_family(book, family, tuple(kind for kind in FAMILY_KINDS if kind not in _LONG))
    else:
        made = pages_of_book(book, tuple(kind for kind in KINDS if kind not in _LONG))
    return next((one for one in made if isinstance(one, SitePage) and one.path == path), None)


def refuse_twins(wanted: Iterable[str]) -> None:
    """Raise ValueError when two files want the same place, also when only the case of a letter differs."""
    taken: dict[str, str] = {}
    for path in wanted:
        other = taken.setdefault(path.lower(), path)
        if other is not path:
            raise ValueError(f"{path} and {other} would be the same file")
