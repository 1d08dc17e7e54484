"""A file with very many mistakes is told with some of them, and the rest are counted."""

from __future__ import annotations

import shutil
from collections import Counter
from pathlib import Path

import pytest

from benchlore.book import load_book
from benchlore.book.loader import MOST_FINDINGS, capped
from benchlore.findings import Finding
from benchlore.rules import check
from tests.rules.fixtures import GOOD
from tests.steps import steps

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
def test_each_of_many_mistakes_takes_no_more_than_each_of_few(tmp_path: Path) -> None:
    """Eight times as many are eight times the steps at most, and 64 times where each is held against each."""

    def taken(many: int) -> int:
        root = tmp_path / str(many)
        shutil.copytree(GOOD, root)
        text = (root / RECORD).read_text(encoding="utf-8")
        (root / RECORD).write_text(text + "".join(f"x{n}: 1\n" for n in range(many)), encoding="utf-8")
        return steps(lambda: check(load_book(root)))

    taken(1)  # what is worked out once
    assert taken(8_000) < 8 * taken(1_000)


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
