"""Run rules over a book. A rule is a generator function; its name, with hyphens, is its id."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from benchlore.book.model import Book
from benchlore.findings import Problem, Severity


@dataclass(frozen=True, slots=True)
class Rule:
    """A check of the whole book. Its docstring says what it demands and shows a `Bad:` and a `Good:` record."""

    check: Callable[[Book], Iterable[Problem]]
    severity: Severity = "error"

    @property
    def id(self) -> str:
        """The function's name, with hyphens."""
        return self.check.__name__.replace("_", "-")

    @property
    def doc(self) -> str:
        """The docstring, as written."""
        return self.check.__doc__ or ""
