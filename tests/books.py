"""The books that the tests read: their own, which stay as they are, and whatever lies in `faults/`."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path

from benchlore.book import Book, load_book
from benchlore.circuit.foretold import in_full
from benchlore.site.page import SiteFile, SitePage
from benchlore.site.pages import KINDS, Maker, pages_of_book, pages_of_family, refuse_twins

ROOT = Path(__file__).resolve().parents[1]
# Two small boards with two dozen faults: whatever the code can do, it does on these.
EXAMPLE = ROOT / "tests" / "example"
# One tiny board with three faults, which the fixtures of the rules spoil.
GOOD = ROOT / "tests" / "rules" / "good"


@cache
def example() -> Book:
    """The tests' own book."""
    return in_full(load_book(EXAMPLE).book)


@cache
def example_pages() -> tuple[tuple[SitePage, ...], tuple[SiteFile, ...]]:
    """The pages of the tests' own book, not rendered, and its data for the browser."""
    return all_pages(example())


@cache
def shipped() -> Book:
    """The book in `faults/`. Tests that ask for it must hold for any book. What another process has read of
    it is taken over: each reads it, and it takes seconds.
    """
    return in_full(load_book(ROOT, kept=True).book)


def all_pages(
    book: Book, kinds: tuple[Maker, ...] = KINDS
) -> tuple[tuple[SitePage, ...], tuple[SiteFile, ...]]:
    """Every page and every file that a build of a book makes. Raises ValueError like the build."""
    made = [one for name in sorted(book.families) for one in pages_of_family(book, name)]
    made += pages_of_book(book, kinds)
    refuse_twins(one.path for one in made)
    pages = tuple(one for one in made if isinstance(one, SitePage))
    return pages, tuple(one for one in made if isinstance(one, SiteFile))


def buildable(book: Path, folder: Path) -> Path:
    """Make `folder` a root to build from: the records of the book in `book`, the face of this repository."""
    shutil.copytree(book / "faults", folder / "faults")
    shutil.copy(ROOT / "mkdocs.yml", folder)
    shutil.copytree(ROOT / "site_overrides", folder / "site_overrides")
    return folder
