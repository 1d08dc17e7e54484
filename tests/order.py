"""The order of the tests of a run: those that need no built site first, while a process builds the sites.

A worker gets a piece of the list to itself, and the pieces follow each other. So each piece begins with files
of tests that need no site, and ends with files that do; a file is in one piece, for what its tests share.
What reads the book in `faults/` is in the first: its hypotheses take ten seconds in each worker that asks.
"""

from __future__ import annotations

import itertools
import os
import re
import subprocess
import sys
from collections.abc import Generator
from contextlib import ExitStack, suppress
from pathlib import Path

import pytest

from benchlore.filelock import FileLock
from tests.books import EXAMPLE, ROOT

# What a test asks for that needs the built site of a book.
SITES = {"site": EXAMPLE, "shipped_site": ROOT}
# The sites take longer than a handful of tests; those wait for theirs alone.
FEW = 100
# By what words a file of tests says that it reads the book in `faults/`.
SHIPPED = re.compile(r"\b(shipped_book|each_book|shipped\(\)|circuit\.boards import .*\b(board|FAMILIES)\b)")
# There once all tests were read here, and so compiled with their assertions.
READ = ROOT / ".cache" / "tests-read"


class Order:
    """A plugin of pytest; each worker has one, and all must come to the same order."""

    def __init__(self, read: Path = READ) -> None:
        self._builder: subprocess.Popen[bytes] | None = None
        self._read = read

    @pytest.hookimpl(wrapper=True)
    def pytest_collection(self, session: pytest.Session) -> Generator[None, object, object]:
        """From a fresh clone the first worker compiles all tests, most of what reading them takes, and the
        others wait for it. Where nothing can be kept, nobody waits."""
        alone = "PYTEST_XDIST_WORKER" not in os.environ or sys.dont_write_bytecode
        whole = [Path(one) for one in session.config.args] == [Path("tests")]
        if alone or not whole or self._read.exists():
            return (yield)
        with ExitStack() as held:
            with suppress(OSError):
                held.enter_context(FileLock(self._read.with_suffix(".lock")))
            if not self._read.exists():
                result = yield
                with suppress(OSError):
                    self._read.touch()
                return result
        return (yield)

    @pytest.hookimpl(trylast=True)  # after pytest has put those with the same parameter together
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        workers = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1"))
        waiting = {item.path for item in items if sites_of(item)}
        shipped = {path for path in {item.path for item in items} if reads_shipped(path)}
        pieces: list[list[pytest.Item]] = [[] for _ in range(workers)]
        for wait in (False, True):
            files: dict[Path, list[pytest.Item]] = {}
            for item in items:
                if (item.path in waiting) is wait:
                    files.setdefault(item.path, []).append(item)
            # What looks at every page of the shipped book takes longest, and is no end for a run.
            in_order = sorted(files.items(), key=lambda file: (-_shipped(file[1]), -len(file[1])))
            for path, tests in sorted(in_order, key=lambda file: file[0] not in shipped):
                (pieces[0] if path in shipped else min(pieces, key=len)).extend(tests)
        items[:] = itertools.chain(*pieces)

    def pytest_collection_finish(self, session: pytest.Session) -> None:
        """The first worker has the sites built that somebody will ask for."""
        wanted = {root for item in session.items for root in sites_of(item)}
        first = os.environ.get("PYTEST_XDIST_WORKER", "gw0") == "gw0"
        if first and wanted and len(session.items) > FEW and not session.config.option.collectonly:
            self._builder = subprocess.Popen(
                [sys.executable, "-m", "tests.built", *sorted(map(str, wanted))],
                cwd=ROOT,
                env={**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), str(ROOT / "tools")])},
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,  # whoever needs the site builds again, and tells
            )

    def pytest_sessionfinish(self) -> None:
        if self._builder:
            self._builder.wait()


def reads_shipped(file: Path) -> bool:
    """Whether a file of tests reads the book in `faults/`, as far as its text tells."""
    try:
        return SHIPPED.search(file.read_text(encoding="utf-8")) is not None
    except OSError:
        return False


def _shipped(tests: list[pytest.Item]) -> bool:
    return any(ROOT in sites_of(item) for item in tests)


def sites_of(item: pytest.Item) -> set[Path]:
    """The books whose built sites a test needs."""
    names = set(getattr(item, "fixturenames", ()))
    found = {root for name, root in SITES.items() if name in names}
    if "each_site" in names:
        found.add(ROOT if item.get_closest_marker("shipped") else EXAMPLE)
    return found
