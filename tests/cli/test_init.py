"""`benchlore init` writes a book that is sound from the start; `migrate` raises one and loses nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchlore.book import load_book
from benchlore.book.yaml_reader import parse
from benchlore.cli import main
from benchlore.rules import check
from benchlore.starter.book import FORMAT, slug, title_of, with_settings
from tests.books import ROOT


@pytest.fixture
def new(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    assert main(["init", "Müllers Werkstatt"]) == 0
    return tmp_path / "Müllers Werkstatt"


def test_new_book_has_no_finding_of_any_weight(new):
    assert check(load_book(new)) == ()


def test_new_book_is_the_shops_own(new):
    shop = load_book(new).book.shop
    assert (shop.title, shop.site, shop.format) == ("Müllers Werkstatt", "mullers-werkstatt", FORMAT)


def test_everything_of_the_sample_says_that_it_is_invented(new):
    assert "invented" in load_book(new).book.families["sample-board"].title
    for path in (new / "faults" / "sample-board").iterdir():
        assert "sample, invented" in path.read_text(encoding="utf-8")


def test_nothing_is_written_over(new, capsys):
    (new / "README.md").write_text("mine", encoding="utf-8")
    before = {path: path.read_bytes() for path in new.rglob("*") if path.is_file()}
    assert main(["init", str(new)]) == 2
    assert "is there already" in capsys.readouterr().err
    assert {path: path.read_bytes() for path in new.rglob("*") if path.is_file()} == before


def test_one_file_that_is_there_stops_all_others(tmp_path, capsys):
    (tmp_path / "README.md").write_text("mine", encoding="utf-8")
    assert main(["init", str(tmp_path)]) == 2
    assert [path.name for path in tmp_path.iterdir()] == ["README.md"]


def test_failed_start_leaves_nothing_behind(tmp_path, monkeypatch, capsys):
    real = Path.open

    def full(path: Path, mode: str = "r", **how: object) -> object:
        if path.name == "shop.yaml" and mode == "x":
            raise OSError(28, "No space left on device", str(path))
        return real(path, mode, **how)  # type: ignore[call-overload]

    monkeypatch.setattr(Path, "open", full)
    assert main(["init", str(tmp_path / "b")]) == 2
    assert "No space left" in capsys.readouterr().err
    assert not (tmp_path / "b").exists()


@pytest.mark.parametrize(
    ("name", "id_", "title"),
    [
        ("my-shop", "my-shop", "My shop"),
        ("Straße_2", "strasse-2", "Straße 2"),
        ("修理", "my-book", "修理"),
        ("--", "my-book", "My book"),
    ],
)
def test_names_of_folders(name, id_, title):
    assert (slug(name), title_of(name)) == (id_, title)


@pytest.mark.parametrize(
    ("name", "title", "site"),
    [('a "b" \\c: #d', 'A "b" \\c: #d', "a-b-c-d"), ("No", "No", "no"), ("12", "12", "12")],
)
def test_names_that_mean_something_in_a_record_are_read_back(name, title, site, tmp_path):
    assert main(["init", str(tmp_path / name)]) == 0
    loaded = load_book(tmp_path / name)
    assert loaded.findings == ()
    assert (loaded.book.shop.title, loaded.book.shop.site) == (title, site)


OLD = """\
# our bench
title: Our bench
currency: EUR
"""


def test_older_book_is_raised_and_the_rest_stays(new, capsys):
    path = new / "faults" / "common" / "shop.yaml"
    kept = [
        line
        for line in path.read_text(encoding="utf-8").split("\n")
        if "format:" not in line and "site:" not in line
    ]
    path.write_text("\n".join(kept), encoding="utf-8")
    before = {one: one.read_bytes() for one in new.rglob("*") if one.is_file() and one != path}
    assert load_book(new).book.shop.format == 1
    assert main(["migrate", "--root", str(new)]) == 0
    raised = path.read_text(encoding="utf-8")
    assert [line for line in raised.split("\n") if "format:" not in line and "site:" not in line] == kept
    shop = load_book(new).book.shop
    # Jobs kept so far lie under the one id that every site had.
    assert (shop.format, shop.site) == (FORMAT, "benchlore")
    assert {one: one.read_bytes() for one in new.rglob("*") if one.is_file() and one != path} == before
    capsys.readouterr()
    assert main(["migrate", "--root", str(new)]) == 0
    assert "nothing is to be done" in capsys.readouterr().out
    assert path.read_text(encoding="utf-8") == raised


@pytest.mark.parametrize("text", [OLD, OLD.replace("\n", "\r\n"), "format: 1\nsite: x\n" + OLD])
def test_settings_come_above_the_title(text):
    data, faults, _ = parse(with_settings(text, "y"))
    assert faults == []
    assert data == {
        "format": FORMAT,
        "site": "x" if "site: x" in text else "y",
        "title": "Our bench",
        "currency": "EUR",
    }


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("format: 3\ntitle: x\n", "install a newer Benchlore"),
        ("title: [x\n", "mend first"),
        ('{"title": x}\n', "add 'format: 2' to it"),
    ],
)
def test_what_cannot_be_raised_stays_as_it_is(text, says, new, capsys):
    path = new / "faults" / "common" / "shop.yaml"
    path.write_text(text, encoding="utf-8")
    assert main(["migrate", "--root", str(new)]) == 2
    assert says in capsys.readouterr().err
    assert path.read_text(encoding="utf-8") == text


def test_newer_form_is_a_finding_that_names_the_mend(new):
    path = new / "faults" / "common" / "shop.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("format: 2", "format: 3"), encoding="utf-8")
    (found,) = [finding for finding in check(load_book(new)) if finding.severity == "error"]
    assert "newer Benchlore" in found.mend


def test_shipped_book_has_the_form_that_is_written_today():
    shop = (ROOT / "faults" / "common" / "shop.yaml").read_text(encoding="utf-8")
    assert f"\nformat: {FORMAT}\n" in shop
