"""How long each quick test took, kept for `tools/test.py --fast`, which runs what a minute holds."""

from __future__ import annotations

import json
import os
from collections import defaultdict
from pathlib import Path

import pytest

from tests.books import ROOT

KEPT = ROOT / ".cache" / "test-seconds.json"  # read by tools/near.py


class Seconds:
    """A plugin of pytest: the process that hears of all tests keeps what they took, beside earlier runs.

    Of a slow one it keeps 0, so that a file with such alone is known to have nothing quick.
    """

    def __init__(self, kept: Path = KEPT) -> None:
        self._kept = kept
        self._took: dict[str, float] = defaultdict(float)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        quick = not {"slow", "browser", "firefox"} & set(report.keywords)
        self._took[report.nodeid] += report.duration if quick else 0

    def pytest_sessionfinish(self) -> None:
        if not self._took or "PYTEST_XDIST_WORKER" in os.environ:
            return
        try:
            known = json.loads(self._kept.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            known = {}
        # A test that is gone is forgotten with its file: a run of some tests tells nothing of others.
        known = {test: took for test, took in known.items() if (ROOT / test.partition("::")[0]).is_file()}
        known.update({test: round(took, 3) for test, took in self._took.items()})
        self._kept.parent.mkdir(exist_ok=True)
        fresh = self._kept.with_suffix(f".{os.getpid()}")
        fresh.write_text(json.dumps(known), encoding="utf-8")
        fresh.replace(self._kept)
