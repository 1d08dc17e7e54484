"""Eighty mistakes, written down before the rules: nine of ten are named at their line, all that hurt are."""

import shutil
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from benchlore.book import load_book
from benchlore.findings import Finding
from benchlore.rules import check
from tests.books import EXAMPLE
from tests.rules import plantings, plantings_forms
from tests.rules.plantings import COMMON, Planting
from tests.rules.said import check_quickly

pytestmark = pytest.mark.slow
PLANTINGS = (*plantings.PLANTINGS, *plantings_forms.PLANTINGS)
# Not named at their line, each with why.
PASSES = {
    28: "a load or what is measured of it: one word against one, so the measurement is named",
    33: "the net of a point or the range measured at it: one word against one, so the measurement is named",
    34: "a point on the other side reads the same; nothing else says where it is",
    42: "a symptom does not say which nets make it",
    45: "the point or the range: one word against one, so the measurement is named",
    52: "two records with one title: the later one is named",
}


@cache
def before(family: str | None) -> frozenset[tuple[str | None, str, str]]:
    """What is found in the book as it is, by file, rule and text."""
    with TemporaryDirectory() as folder:
        copy(family, Path(folder))
        return frozenset((f.file, f.rule, f.message) for f in check(load_book(Path(folder))))


def copy(family: str | None, book: Path) -> None:
    """The book with this family alone, which is all that its mistakes concern; whole without one."""
    for one in ("common", family) if family else ("",):
        shutil.copytree(EXAMPLE / "faults" / one, book / "faults" / one)


def family_of(planting: Planting) -> str | None:
    return None if planting.file.startswith(COMMON) else planting.file.split("/")[1]


def plant(planting: Planting, book: Path) -> int:
    """Write the mistake into a copy of the book; the line that a finding must name."""
    copy(family_of(planting), book)
    path = book / planting.file
    text = path.read_text(encoding="utf-8")
    start = text.index(planting.before, text.index(planting.within))
    text = text[:start] + planting.after + text[start + len(planting.before) :]
    path.write_text(text, encoding="utf-8")
    # What was taken out is missed at its record, which may begin above.
    at = text.find(planting.at, start)
    found = at if at >= 0 and planting.after else text.index(planting.at, text.index(planting.within))
    return text.count("\n", 0, found) + 1


def named(planting: Planting, book: Path) -> list[Finding]:
    """What is new at the line; all of it where the quick rules find nothing."""
    line, known = plant(planting, book), before(family_of(planting))
    loaded = load_book(book)
    for findings in (check_quickly, check):
        found = [
            f
            for f in findings(loaded)
            if f.file == planting.file and f.line == line and (f.file, f.rule, f.message) not in known
        ]
        if found:
            return found
    return []


@pytest.mark.parametrize("planting", PLANTINGS, ids=lambda one: f"{one.number}{one.gravity}")
def test_a_planting_is_named_at_its_line(planting: Planting, tmp_path: Path):
    found = named(planting, tmp_path)
    assert bool(found) is (planting.number not in PASSES), found


def test_nine_of_ten_are_named_and_every_one_that_hurts():
    assert len(PLANTINGS) == 80
    assert len(PASSES) <= 8
    assert all(one.gravity != "D" for one in PLANTINGS if one.number in PASSES)
    assert sum(one.gravity == "D" for one in PLANTINGS) >= 20
