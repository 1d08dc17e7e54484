"""A section that another part of the project adds to a record's page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from benchlore.book.model import frozen_map


@dataclass(frozen=True, slots=True)
class Section:
    """A section under its own heading; `anchor` is its id on the page, `template` reads `section.context`."""

    anchor: str
    title: str
    template: str
    context: Mapping[str, Any] = field(default_factory=frozen_map)
    styles: tuple[str, ...] = ()
