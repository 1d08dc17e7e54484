"""What the site is made of: pages with a template and its context, and files that go out as they are."""

from __future__ import annotations

import posixpath
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from benchlore.book.model import frozen_map
from benchlore.site import paths

Toc = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Named:
    """A record by its name alone, where a page shows no more of it: then no other change reaches the page."""

    id: str
    title: str


@dataclass(frozen=True, slots=True)
class SitePage:
    """One page. `path` is relative to the site's root and ends in `.html`.

    `template` is a file of `site_overrides/theme/pages/`, rendered with `context`.
    `source` is the record file shown (`faults/petrel-13/x.yaml`) and `record` the record: the shell links to
    the text of the one and to the other as JSON.
    `family` is the id of the family that the page is about: the header then offers its revisions.
    `section` marks the door that is open in the header: `bench`, `look`, `learn` or nothing.
    `scripts` and `styles` are assets of this page alone, relative to the site's root.
    `toc` holds anchor and label of the sections worth jumping to.
    """

    path: str
    title: str
    template: str
    context: Mapping[str, Any] = field(default_factory=frozen_map)
    source: str | None = None
    record: Any = None
    family: str | None = None
    section: str = "look"
    scripts: tuple[str, ...] = ()
    styles: tuple[str, ...] = ()
    toc: Toc = ()

    @property
    def data_path(self) -> str | None:
        """Where the record's JSON lies, or None for a page without a record."""
        return None if self.record is None else paths.record_data(self.path)

    @property
    def source_path(self) -> str | None:
        """Where the text of the record file lies, or None for a page without a record."""
        return None if self.source is None else paths.record_text(self.source)


def page_of(
    record: Any, path: str, title: str, template: str, context: Mapping[str, Any], **more: Any
) -> SitePage:
    """The page of a record, with the ways to the text of its file and to its JSON."""
    return SitePage(path, title, template, context, source=record.origin.file, record=record, **more)


@dataclass(frozen=True, slots=True)
class SiteFile:
    """A file that is written as it is: `path` relative to the site's root."""

    path: str
    text: str


@cache
def relative(here: str, there: str) -> str:
    """The link from page `here` to path `there`, both relative to the root; a `#fragment` may follow."""
    path, hash_, fragment = there.partition("#")
    if path in ("", here):
        return (hash_ + fragment) or posixpath.basename(here)
    return posixpath.relpath(path, posixpath.dirname(here) or ".") + hash_ + fragment


def base(here: str) -> str:
    """The way from a page to the site's root: empty or `../` repeated."""
    return "../" * here.count("/")
