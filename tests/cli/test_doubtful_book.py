"""`rank` and `plan` on a book that the rules refuse: the answer is doubted aloud, and never a traceback."""

import shutil
from pathlib import Path

import pytest

from benchlore.cli import main
from tests.rules.fixtures import GOOD

ASKED = [["rank", "wren-5", "--symptom", "dead-on-adapter"], ["plan", "wren-5", "dead-on-adapter"]]
by_command = pytest.mark.parametrize("asked", ASKED, ids=["rank", "plan"])


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(GOOD, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def edit(book: Path, file: str, before: str, after: str) -> None:
    text = (book / "faults" / file).read_text(encoding="utf-8")
    assert before in text
    (book / "faults" / file).write_text(text.replace(before, after, 1), encoding="utf-8")


@by_command
def test_sound_book_is_not_doubted(asked, book, capsys):
    assert main(asked) == 0
    assert capsys.readouterr().err == ""


@by_command
def test_answer_from_records_with_errors_is_doubted(asked, book, capsys):
    edit(book, "wren-5/family.yaml", "absent: {range: under 1 V,", "absent: {range: under 1 ohm,")
    assert main(asked) == 0
    said = capsys.readouterr()
    assert said.out
    assert said.err.startswith("benchlore: ")
    assert "faults/wren-5/family.yaml" in said.err
    assert "'benchlore check' says what to mend" in said.err


@by_command
def test_errors_of_another_family_are_not_told(asked, book, capsys):
    shutil.copytree(book / "faults/wren-5", book / "faults/finch-2")
    edit(book, "finch-2/family.yaml", "absent: {range: under 1 V,", "absent: {range: under 1 ohm,")
    assert main(asked) == 0
    assert capsys.readouterr().err == ""


@by_command
@pytest.mark.parametrize(
    ("file", "before", "after"),
    [
        ("common/meters.yaml", "up_to: 20 V", "up_to: open"),
        ("common/meters.yaml", "reading: 0.5%", f"reading: {'9' * 400}%"),
        ("common/meters.yaml", "resolution: 1 mV", "resolution: 0 V"),
        ("wren-5/family.yaml", "range: 4.70 to 5.30 V", "range: open"),
        ("wren-5/family.yaml", "at: TP1", "at: TP9"),
        ("wren-5/fuse-open.yaml", "expected_reading: absent", "expected_reading: gone"),
    ],
)
def test_no_error_of_the_book_is_a_traceback(asked, file, before, after, book, capsys):
    edit(book, file, before, after)
    assert main(asked) in (0, 2)
    assert "benchlore check" in capsys.readouterr().err
