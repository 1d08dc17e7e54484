"""What the checks say: a Problem points into a record, a Finding is that problem with line and column."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Severity = Literal["error", "warning", "note"]
Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a record stands: its file (relative, with `/`) and the keys that lead to it in that file."""

    file: str
    path: Path = ()

    def at(self, *keys: str | int) -> Origin:
        """The origin of a field below this one."""
        return Origin(self.file, self.path + keys)


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a record, as a rule sees it. `on_key` points at the last key, not at its value."""

    origin: Origin
    message: str
    mend: str = ""
    on_key: bool = False


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """A problem at its place: line and column count from 1; `excerpt` is that line of the file."""

    file: str
    line: int
    column: int
    rule: str
    severity: Severity
    message: str
    mend: str = ""
    excerpt: str = ""


def nearest(wrong: str, known: Iterable[str]) -> str:
    """`did you mean 'x'?` for the known name nearest to a wrong one, else the known names, else nothing."""
    names = sorted(known)
    lowered = {name.lower(): name for name in names}
    close = difflib.get_close_matches(wrong.lower(), list(lowered), n=1, cutoff=0.5)
    if close:
        return f"did you mean '{lowered[close[0]]}'?"
    if names and len(names) <= 12:
        return f"use one of {', '.join(names)}"
    return ""
