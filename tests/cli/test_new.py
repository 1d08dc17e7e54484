"""`benchlore new` starts a fault pattern that has the right shape and waits to be filled in."""

import shutil
from pathlib import Path

import pytest

from benchlore.book import load_book
from benchlore.cli import main
from benchlore.rules import check
from tests.books import EXAMPLE
from tests.rules.fixtures import GOOD

ROOT = Path(__file__).parents[2]
FILE = "faults/wren-5/jack-cracked.yaml"


@pytest.fixture
def book(tmp_path: Path, monkeypatch) -> Path:
    shutil.copytree(GOOD, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_new_record_has_the_right_shape(book, capsys):
    assert main(["new", "fault", "wren-5", "jack-cracked", "--form"]) == 0
    assert capsys.readouterr().out == f"Fill in {FILE}, then run: benchlore check {FILE}\n"
    assert load_book(book).findings == ()


def test_checks_name_what_is_still_to_be_filled(book):
    main(["new", "fault", "wren-5", "jack-cracked", "--form"])
    found = {finding.rule for finding in check(load_book(book)) if finding.file == FILE}
    assert found == {
        "placeholder-left",
        "unknown-hazard",
        "unknown-measurement",
        "unknown-part",
        "unknown-symptom",
        "unknown-technique",
    }


def test_names_to_fill_in_are_told_as_such(book):
    main(["new", "fault", "wren-5", "jack-cracked", "--form"])
    found = [f for f in check(load_book(book)) if f.file == FILE]
    assert all("still waits to be written" in finding.message for finding in found)


def test_symptoms_of_the_family_come_first(tmp_path, capsys):
    shutil.copytree(EXAMPLE / "faults", tmp_path / "faults")
    main(["new", "fault", "siskin-12", "new-fault", "--form", "--root", str(tmp_path)])
    text = (tmp_path / "faults/siskin-12/new-fault.yaml").read_text(encoding="utf-8")
    assert text.index("# no-power: ") < text.index("# one-way-up: ")


def test_names_of_the_family_stand_beside_the_fields(book):
    main(["new", "fault", "wren-5", "jack-cracked", "--form"])
    text = (book / FILE).read_text(encoding="utf-8")
    assert "  # main-junction: healthy, leaky, shorted, open\n" in text
    assert "  # no-picture: Runs without a picture\n" in text
    assert "  # J1: display board\n" in text
    assert "# revisions: [A, B]" in text


@pytest.mark.parametrize(
    ("arguments", "reason"),
    [
        (["wren-6", "jack-cracked"], "'wren-6' is not a family of the book; did you mean 'wren-5'?"),
        (["wren-5", "Jack cracked"], "'Jack cracked' cannot be a name; use lower-case words"),
        (["wren-5", "../jack"], "'../jack' cannot be a name"),
        (["wren-5", "fuse-open"], "is there already; choose another name"),
        (["wren-5", "aux"], "Windows allows no file named 'aux'; choose another name"),
        (["wren-5", "index"], "the site has a page of its own named 'index'; choose another name"),
        (["wren-5", "x" * 81], "the name has 81 characters; shorten it to 80 at most"),
    ],
)
def test_what_cannot_be_started_is_refused(book, capsys, arguments, reason):
    before = sorted(book.rglob("*"))
    assert main(["new", "fault", *arguments, "--form"]) == 2
    assert reason in capsys.readouterr().err
    assert sorted(book.rglob("*")) == before


@pytest.mark.parametrize("family", ["siskin-12", "teal-8"])
def test_new_record_fits_the_families_of_the_book(family, tmp_path, capsys):
    shutil.copytree(EXAMPLE / "faults", tmp_path / "faults")
    assert main(["new", "fault", family, "new-fault", "--form", "--root", str(tmp_path)]) == 0
    assert load_book(tmp_path).findings == ()
