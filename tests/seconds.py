"""How long each quick test took, kept for `tools/test.py --fast`, which runs what a minute holds."""

from __future__ import annotations

import json
import os
from collections import defaultdict
from pathlib import Path

import pytest

import near
from tests.books import ROOT

# Options by which a run leaves tests of its files out, beside what names them one by one.
CHOOSING = ("keyword", "markexpr", "deselect", "lf", "stepwise", "maxfail")


class Seconds:
    """A plugin of pytest: the process that hears of all tests keeps what they took, beside earlier runs.

    Of a slow one it keeps 0, so that a file with such alone is known to have nothing quick.
    """

    def __init__(self, kept: Path = ROOT / near.SECONDS) -> None:
        self._kept = kept
        self._took: dict[str, float] = defaultdict(float)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        quick = not {"slow", "browser", "firefox"} & set(report.keywords)
        self._took[report.nodeid] += report.duration if quick else 0

    def pytest_sessionfinish(self, session: pytest.Session, exitstatus: int) -> None:
        if not self._took or "PYTEST_XDIST_WORKER" in os.environ:
            return
        try:
            known = json.loads(self._kept.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            known = {}
        # A test that is gone is forgotten: with its file, or once all tests of this ran without it.
        whole = {_file(test) for test in self._took} if _is_whole(session.config, exitstatus) else set()
        known = {
            test: took
            for test, took in known.items()
            if (ROOT / _file(test)).is_file() and _file(test) not in whole
        }
        known.update({test: round(took, 3) for test, took in self._took.items()})
        self._kept.parent.mkdir(exist_ok=True)
        fresh = self._kept.with_suffix(f".{os.getpid()}")
        fresh.write_text(json.dumps(known), encoding="utf-8")
        fresh.replace(self._kept)


def _file(test: str) -> str:
    return test.partition("::")[0]


def _is_whole(config: pytest.Config, exitstatus: int) -> bool:
    """True of a run that came to its end, with all tests of the files that it read."""
    ended = exitstatus in (pytest.ExitCode.OK, pytest.ExitCode.TESTS_FAILED)
    chosen = any(config.getoption(name, None) for name in CHOOSING) or any("::" in a for a in config.args)
    return ended and not chosen
