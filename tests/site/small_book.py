"""A small book to build whole sites from, and a way to compare sites."""

from __future__ import annotations

import hashlib
import textwrap
from pathlib import Path

from tests.books import GOOD, buildable

TITLE = "Wren 5"
# What a site says of itself in these tests: half of a build's time would go into the simulated jobs.
FEW_JOBS = (200, 1)
# A build of its own, with few jobs and with everything kept in a folder: ROOT SITE KEPT.
BUILD = textwrap.dedent(
    f"""
    import sys
    from pathlib import Path
    from benchlore import cache
    from benchlore.cli import main
    from benchlore.site.calibration import calibration

    root, site, kept = sys.argv[1:]
    calibration.__defaults__ = {FEW_JOBS}
    cache._usual_folder = lambda: Path(kept)
    sys.exit(main(["build", "--root", root, "--site-dir", site]))
    """
)


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
