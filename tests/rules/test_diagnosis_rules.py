"""The rules of diagnosis on the whole book: the charger's two voltages, and a book turned against itself."""

import shutil
from pathlib import Path

import pytest

from benchlore.book import load_book
from benchlore.rules import diagnosis
from benchlore.rules.engine import problems as problems_of
from tests.books import EXAMPLE, example

REAL = Path(__file__).parents[2]


@pytest.fixture
def root(tmp_path):
    shutil.copytree(EXAMPLE / "faults", tmp_path / "faults")
    return tmp_path


def edit(root: Path, file: str, *pairs: tuple[str, str]) -> None:
    path = root / "faults" / file
    text = path.read_text(encoding="utf-8")
    for before, after in pairs:
        assert before in text
        text = text.replace(before, after)
    path.write_text(text, encoding="utf-8")


def test_the_charger_s_two_voltages_are_far_enough_apart():
    """A 3 1/2 digit meter, 0.5 % + 3 counts of 10 mV, may err by 0.0715 V at 8.30 V; the gap is 0.10 V."""
    assert problems_of(diagnosis.outcomes_too_close, example()) == []


def test_two_hundredths_of_a_volt_are_too_close(root):
    edit(root, "siskin-12/family.yaml", ("to 8.20 V", "to 8.29 V"), ("8.35 to", "8.31 to"))
    problems = problems_of(diagnosis.outcomes_too_close, load_book(root).book)
    assert problems
    assert all("'default' and 'commanded' belong to different faults" in p.message for p in problems)
    for problem in problems:
        assert "lie 20 mV apart; hand-held-3-half may err by 72 mV there" in problem.message.replace(
            "\xa0", " "
        )


def test_a_better_meter_settles_it(root):
    edit(root, "siskin-12/family.yaml", ("to 8.20 V", "to 8.29 V"), ("8.35 to", "8.31 to"))
    edit(root, "common/shop.yaml", ("hand-held-3-half", "hand-held-4-half"))
    assert problems_of(diagnosis.outcomes_too_close, load_book(root).book) == []


def test_a_silent_fault_is_named_with_its_blank_cells(root):
    """Without the readings that tell the pen bay from a pin of the charger, the two are one: neither the
    record nor, without a mode, the circuit says them."""
    book = load_book(root).book
    pen_bay = "siskin-12/pen-bay-holds-pack-data-low"
    for fault in book.faults.values():
        path = root / "faults" / f"{fault.id}.yaml"
        text = path.read_text(encoding="utf-8")
        if fault.id == pen_bay:
            kept = text[: text.index("test_points:")], text[text.index("cause:") :]
            only = "test_points:\n  - measure: pack-data-junction\n    expected_reading: shorted\n"
            whole = only.join(kept)
            modes = whole[whole.index("  variants:") : whole.index("  how:")]
            path.write_text(whole.replace(modes, ""), encoding="utf-8")
    problems = problems_of(diagnosis.not_told_apart, load_book(root).book)
    assert problems
    assert all(pen_bay.partition("/")[2] in p.message for p in problems)
    charger = next(p for p in problems if "'charger-data-pin-shorted'" in p.message)
    assert charger.mend.startswith("fill a blank cell: 'main-rail-adapter' of 'pen-bay-holds-pack-data-low'")
