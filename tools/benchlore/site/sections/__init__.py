"""Sections that other parts of the project add to a record's page, below what the record itself says.

To add one: write a function that takes the book and the record and gives a Section (or None where there is
nothing to say), its template, and name the function in SECTIONS under the kind of page.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from benchlore.book.model import Book
from benchlore.site.page import Toc
from benchlore.site.sections import circuit, part, pictures, walk
from benchlore.site.sections.section import Section

Maker = Callable[..., Section | None]

# Arguments after the book: fault -> Fault; net -> Family, Net; part -> Family, Part; family -> Family.
SECTIONS: Mapping[str, tuple[Maker, ...]] = MappingProxyType(
    {
        "fault": (pictures.of_fault,),
        "net": (pictures.of_net, circuit.working, circuit.removal),
        "part": (pictures.of_part, part.loss),
        "family": (circuit.tree, circuit.known, walk.ways),
    }
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
