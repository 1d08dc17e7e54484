"""The shell around the pages, the document with header and footer, made by the generator.

It is the same for all pages of a folder but for their title and content. So it is rendered once a folder and
kind of page, with marks in the two places, and stamped. What it comes from is small and changes seldom:
shells are kept, and a build that finds them all never loads the generator.
"""

from __future__ import annotations

import posixpath
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from markupsafe import escape

from benchlore.book.model import Book
from benchlore.cache import Drawer, code_of, key_of, remembered
from benchlore.shipped import face
from benchlore.site import paths
from benchlore.site.page import SitePage

if TYPE_CHECKING:
    from benchlore.site.plugin import Generator

_TITLE, _CONTENT = "benchlore-mark-of-the-title", "<h1>benchlore-mark-of-the-content</h1>"
_CODE = code_of(
    "site/plugin.py",
    "site/shell.py",
    "site/bundles.py",
    "site/page.py",
    "site/paths.py",
    packages=("mkdocs", "mkdocs-material", "jinja2", "markdown"),
)


class Shell:
    """The shell of one site. `key`: a hash of all that it is made from but a page's own family."""

    def __init__(self, root: Path, book: Book) -> None:
        self._root = root
        self._book = book
        families = [(family.id, family.title) for _, family in sorted(book.families.items())]
        looks = [(name, path.read_bytes()) for name, path in _sources(face(root))]
        self.key = key_of(_CODE, (book.shop.title, book.shop.site), families, looks)

    def files(self) -> tuple[Mapping[str, bytes], Mapping[str, str]]:
        """The pages written by hand, whole, and their titles, by path.

        Raises BuildError.
        """

        def make() -> tuple[Mapping[str, str], Mapping[str, str]]:
            files = self._generator.files
            return {path: data.decode("latin-1") for path, data in files.items()}, self._generator.titles

        files, titles = remembered("shells/-files", self.key, make, ({str: str}, {str: str}))
        return {path: text.encode("latin-1") for path, text in files.items()}, titles

    def around(self, page: SitePage, content: str, known: Drawer) -> str:
        """The whole page. `known` keeps shells from build to build. Raises BuildError."""
        alike = _alike(page)
        family = self._book.families.get(page.family or "")
        place = (alike.path, alike.family, alike.section, alike.scripts, alike.styles)
        key = key_of(self.key, place, family and (family.title, list(family.revisions.items())))
        html = known.get(key_of(place), key, lambda: self._generator.page(alike, _CONTENT))
        head, foot = html.split(_CONTENT)
        return f"{head.replace(_TITLE, escape(page.title))}{content}{foot}"

    @cached_property
    def _generator(self) -> Generator:
        from benchlore.site.plugin import generate  # loading it takes half a second

        with tempfile.TemporaryDirectory() as folder:
            return generate(self._root, Path(folder), self._book)


def _alike(page: SitePage) -> SitePage:
    """A page that stands for all that have the same shell."""
    path = page.path
    if path != paths.HOME:
        path = posixpath.join(posixpath.dirname(path), "any.html")
    return replace(page, path=path, title=_TITLE, context={}, record=None, source=None, toc=())


def _sources(root: Path) -> Iterator[tuple[str, Path]]:
    overrides = root / "site_overrides"
    found = [root / "mkdocs.yml", *overrides.glob("pages/**/*"), *overrides.glob("theme/**/*")]
    templates = overrides / "theme" / "pages"
    for path in sorted(found):
        if path.is_file() and not path.is_relative_to(templates):
            yield path.relative_to(root).as_posix(), path
