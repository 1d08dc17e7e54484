"""A small book to build whole sites from, and a way to compare sites."""

from __future__ import annotations

import hashlib
from pathlib import Path

from tests.books import GOOD, buildable

TITLE = "Wren 5"


def book(root: Path, title: str) -> Path:
    """A small book with everything that a build needs, its family under another title."""
    buildable(GOOD, root)
    family = root / "faults" / "wren-5" / "family.yaml"
    text = family.read_text(encoding="utf-8")
    assert f"title: {TITLE}\n" in text
    family.write_text(text.replace(f"title: {TITLE}\n", f"title: {title}\n"), encoding="utf-8")
    return root


def contents(site: Path) -> dict[str, str]:
    """All of a site: the hash of every file by its path."""
    files = (path for path in site.rglob("*") if path.is_file())
    return {str(file.relative_to(site)): hashlib.sha256(file.read_bytes()).hexdigest() for file in files}


def differing(one: dict[str, str], other: dict[str, str]) -> list[str]:
    """The files that two sites do not have in common."""
    return sorted({path for path, _ in one.items() ^ other.items()})
