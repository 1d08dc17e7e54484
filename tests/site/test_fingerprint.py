"""Hashes of what a page is made from: the same in every process, another for every change."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace

import pytest

from benchlore.fingerprint import Fingerprints
from tests.books import GOOD

CASE = f"""
from pathlib import Path
from benchlore.book import load_book
from benchlore.diagnosis.case import make_case
from benchlore.diagnosis.minutes import Setup
from benchlore.fingerprint import Fingerprints
case = make_case(load_book(Path({str(GOOD)!r})).book, "wren-5")
print(Fingerprints().of((case, Setup("off", frozenset(("J1", "J2", "J3", "J4", "J5", "J6"))))))
"""


def test_the_order_of_hashes_does_not_matter():
    """Else what was kept by such a hash would never be found again."""

    def printed(seed: str) -> str:
        environment = {**os.environ, "PYTHONHASHSEED": seed}
        return subprocess.run(
            [sys.executable, "-c", CASE], env=environment, capture_output=True, text=True, check=True
        ).stdout

    assert printed("1") == printed("2") == printed("3")


def test_every_part_of_a_record_counts(small):
    family = small.families["wren-5"]
    known = Fingerprints()
    assert known.of(family) == Fingerprints().of(replace(family))
    assert known.of(family) != known.of(replace(family, title="Wren 6"))
    assert known.of(("ab", "c")) != known.of(("a", "bc"))
    assert known.of(1) != known.of(1.0) != known.of("1")


def test_what_has_no_name_is_refused():
    value = 3
    with pytest.raises(TypeError, match="nothing tells two values of function apart"):
        Fingerprints().of({"f": lambda: value})
