"""Sites for the tests, each built once for all workers, and for later runs with the same sources."""

from __future__ import annotations

import hashlib
import importlib.metadata
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from benchlore.filelock import FileLock
from tests.books import ROOT, buildable

# Git ignores it, and it may be deleted at any time.
FOLDER = ROOT / ".cache" / "test-sites"
KEPT = 8
JOBS = (2000, 1)  # and their seed
PROGRAM = f"""
import sys
from benchlore.cli import main
from benchlore.site.calibration import calibration

calibration.__defaults__ = {JOBS}
sys.exit(main())
"""
# What a build reads, beside the records.
CODE = ("mkdocs.yml", "schema", "site_overrides", "tools/benchlore")


@cache
def built(root: Path) -> Path:
    """The site of the book in `root`, with this repository's code and face. Nobody may write into it.

    It lies under a hash of all that a build reads: records, face, code and installed packages.
    The first worker that asks builds it; the others wait for its lock.
    """
    place = FOLDER / _key(root)
    site = place / "site"
    with FileLock(FOLDER / f"{place.name}.lock"):
        if not site.exists():
            if root != ROOT:
                shutil.rmtree(place, ignore_errors=True)  # what an interrupted run left
                root = buildable(root, place / "book")
            build(sys.executable, root, site)
            _forget_all_but(KEPT)
    os.utime(place)
    return site


def build(python: str, root: Path, site: Path) -> None:
    """Build a book by the interpreter `python`, which has the packages of the site; with few simulated jobs,
    which would take a quarter of the time.
    """
    command = [python, "-c", PROGRAM, "build", "--root", str(root), "--site-dir", str(site)]
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "tools")}
    result = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, env=environment)
    assert result.returncode == 0, f"the site could not be built:\n{result.stdout}{result.stderr}"


def _key(root: Path) -> str:
    digest = hashlib.sha256(f"{sys.version}{PROGRAM}".encode())
    for package in sorted(f"{one.name} {one.version}" for one in importlib.metadata.distributions()):
        digest.update(package.encode())
    for folder, names in ((root, ("faults",)), (ROOT, CODE)):
        for path in _sources(folder, names):
            digest.update(f"\0{path.relative_to(folder).as_posix()}\0".encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()[:32]


def _sources(folder: Path, names: tuple[str, ...]) -> Iterator[Path]:
    """The files below these places of a folder, in one order."""
    for name in names:
        found = folder / name
        paths = sorted(found.rglob("*")) if found.is_dir() else [found]
        yield from (path for path in paths if path.is_file() and path.suffix != ".pyc")


def _forget_all_but(kept: int) -> None:
    """Remove the sites that were asked for the longest ago."""
    places = sorted((one for one in FOLDER.iterdir() if one.is_dir()), key=lambda one: -one.stat().st_mtime)
    for place in places[kept:]:
        shutil.rmtree(place)


if __name__ == "__main__":
    for book in sys.argv[1:]:
        built(Path(book))
