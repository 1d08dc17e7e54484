"""Sections that other parts of the project add to a record's page, below what the record itself says.

To add one: write a function that takes the book and the record and gives a Section (or None where there is
nothing to say), its template, and name the function in SECTIONS under the kind of page.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from benchlore.book.model import Book, frozen_map
from benchlore.site.page import Toc


@dataclass(frozen=True, slots=True)
class Section:
    """A section under its own heading; `anchor` is its id on the page, `template` reads `section.context`."""

    anchor: str
    title: str
    template: str
    context: Mapping[str, Any] = field(default_factory=frozen_map)
    styles: tuple[str, ...] = ()
    scripts: tuple[str, ...] = ()


Maker = Callable[..., Section | None]

# Arguments after the book: fault -> Fault; symptom -> Symptom; net -> Family, Net; family -> Family.
SECTIONS: Mapping[str, tuple[Maker, ...]] = MappingProxyType(
    {"fault": (), "symptom": (), "net": (), "family": ()}
)


def sections(kind: str, book: Book, *records: Any) -> tuple[Section, ...]:
    """The sections of one page, in order."""
    made = (make(book, *records) for make in SECTIONS[kind])
    return tuple(section for section in made if section)


def toc_of(found: tuple[Section, ...]) -> Toc:
    """Their anchors and titles."""
    return tuple((section.anchor, section.title) for section in found)


def styles_of(found: tuple[Section, ...]) -> tuple[str, ...]:
    """Their style sheets, each once."""
    return tuple(dict.fromkeys(style for section in found for style in section.styles))


def scripts_of(found: tuple[Section, ...]) -> tuple[str, ...]:
    """Their scripts, each once."""
    return tuple(dict.fromkeys(script for section in found for script in section.scripts))
