"""A file with very many mistakes is told with some of them, and the rest are counted."""

from __future__ import annotations

import shutil
import time
from collections import Counter
from pathlib import Path

import pytest

from benchlore.book import load_book
from benchlore.book.loader import MOST_FINDINGS, capped
from benchlore.findings import Finding
from benchlore.rules import check
from tests.rules.fixtures import GOOD

RECORD = "faults/wren-5/fuse-open.yaml"


@pytest.mark.slow
@pytest.mark.parametrize(
    "mistakes",
    [
        "revisions:\n" + "  - 1\n" * 10_000,
        "".join(f"x{n}: 1\n" for n in range(9_000)),
        "a: [1]\na: [1]\n" * 2_000,
    ],
)
def test_thousands_of_mistakes_are_told_in_a_hundred_findings(mistakes: str, tmp_path: Path) -> None:
    """Of a file of a megabyte there were 100,009 findings."""
    shutil.copytree(GOOD, tmp_path, dirs_exist_ok=True)
    text = (tmp_path / RECORD).read_text(encoding="utf-8")
    (tmp_path / RECORD).write_text(text + mistakes, encoding="utf-8")
    findings = [finding for finding in check(load_book(tmp_path)) if finding.file == RECORD]
    assert len(findings) == MOST_FINDINGS + 1
    (more,) = [finding for finding in findings if finding.rule == "findings-left-out"]
    assert more.severity == "error"
    assert int(more.message.split()[2]) >= 900


@pytest.mark.slow
def test_half_a_megabyte_of_mistakes_takes_little_more_for_each_than_a_tenth_of_it(tmp_path: Path) -> None:
    """In processor time, which is 10 times that of the tenth, and 100 times where all of it grows with the
    square."""

    def seconds(many: int) -> float:
        root = tmp_path / str(many)
        shutil.copytree(GOOD, root)
        text = (root / RECORD).read_text(encoding="utf-8")
        (root / RECORD).write_text(text + "".join(f"x{n}: 1\n" for n in range(many)), encoding="utf-8")
        before = time.process_time()
        findings = [finding for finding in check(load_book(root)) if finding.file == RECORD]
        assert len(findings) == MOST_FINDINGS + 1
        return time.process_time() - before

    assert seconds(50_000) < 22 * seconds(5_000)


def test_errors_stay_before_warnings_and_notes() -> None:
    def found(line: int, severity: str) -> Finding:
        return Finding("x.yaml", line, 1, "some-rule", severity, "wrong")  # type: ignore[arg-type]

    notes = [found(line, "note") for line in range(1, 200)]
    errors = [found(line, "error") for line in range(200, 250)]
    kept = capped([*notes, *errors])
    assert kept == tuple(sorted(kept))
    assert Counter(one.severity for one in kept) == {"error": 50, "note": MOST_FINDINGS - 50 + 1}
    assert "149 findings more" in next(one.message for one in kept if one.rule == "findings-left-out")


def test_what_is_few_stays_as_it_is() -> None:
    few = tuple(Finding("x.yaml", line, 1, "some-rule", "error", "wrong") for line in range(1, 101))
    assert capped(reversed(few)) == few
