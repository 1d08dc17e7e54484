"""`benchlore check`, as it is run in a shell."""

import json
import shutil
from pathlib import Path

import jsonschema
import pytest

from benchlore.book.schemas import schema
from benchlore.cli import main
from tests.rules.fixtures import GOOD

FUSE = "faults/wren-5/fuse-open.yaml"
LINE = "faults/wren-5/line-held-low.yaml"


@pytest.fixture
def book(tmp_path: Path, monkeypatch) -> Path:
    shutil.copytree(GOOD, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def edit(book: Path, file: str, before: str, after: str) -> None:
    text = (book / file).read_text(encoding="utf-8")
    assert text.count(before) == 1
    (book / file).write_text(text.replace(before, after), encoding="utf-8")


def test_sound_book_passes(book, capsys):
    assert main(["check"]) == 0
    assert capsys.readouterr().out == "no findings in 15 files\n"


def test_finding_shows_place_line_caret_and_mend(book, capsys):
    edit(book, FUSE, "part: F1", "part: F7")
    assert main(["check"]) == 1
    assert capsys.readouterr().out == (
        "faults/wren-5/fuse-open.yaml:16:9: error [unknown-part] 'F7' is not a part of wren-5\n"
        "      part: F7\n"
        "            ^\n"
        "    did you mean 'F1'?\n"
        "1 error in 15 files\n"
    )


def test_all_files_are_told_in_one_run(book, capsys):
    edit(book, FUSE, "part: F1", "part: F7")
    edit(book, LINE, "seen: 3", "seen: many")
    (book / "faults/wren-5/rail-short.yaml").write_bytes(b"title: \xff")
    assert main(["check", "--format", "json"]) == 1
    found = json.loads(capsys.readouterr().out)["findings"]
    assert {(f["file"].split("/")[-1], f["line"], f["rule"]) for f in found} == {
        ("fuse-open.yaml", 16, "unknown-part"),
        ("line-held-low.yaml", 19, "wrong-type"),
        ("rail-short.yaml", 1, "not-utf-8"),
    }


def test_warnings_fail_only_when_strict(book, capsys):
    edit(book, LINE, "hazard: [lithium-pack, static]", "hazard: [static, lithium-pack]")
    assert main(["check"]) == 0
    assert main(["check", "--strict"]) == 1
    assert capsys.readouterr().out.count("warning [hazards-out-of-order]") == 2


def test_paths_limit_what_is_shown_but_not_what_is_read(book, capsys):
    edit(book, FUSE, "part: F1", "part: F7")
    edit(book, "faults/common/hazards.yaml", "static:", "electricity:")
    assert main(["check", FUSE]) == 1
    assert capsys.readouterr().out.count("error [") == 1
    assert main(["check", "faults/common/symptoms.yaml"]) == 0
    assert capsys.readouterr().out == "no findings in 1 file\n"
    assert main(["check", "faults/wren-5", str(book / "faults/common/techniques")]) == 1
    out = capsys.readouterr().out
    assert "fuse-open.yaml" in out
    assert "junction-test.yaml" in out
    assert "states.yaml" not in out
    assert main(["check", "."]) == 1
    assert "states.yaml" in capsys.readouterr().out


def test_paths_are_meant_from_where_the_shell_stands(book, capsys, monkeypatch):
    edit(book, FUSE, "part: F1", "part: F7")
    monkeypatch.chdir(book / "faults" / "wren-5")
    assert main(["check", "fuse-open.yaml"]) == 1
    assert capsys.readouterr().out.startswith("faults/wren-5/fuse-open.yaml:16:9:")
    assert main(["check", ".."]) == 1


@pytest.mark.parametrize(
    ("arguments", "reason"),
    [
        (["nowhere.yaml"], "there is no file or folder nowhere.yaml"),
        (["notes.txt"], "notes.txt does not belong to the book"),
        (["faults/README.md"], "faults/README.md is no record file, and holds none"),
        (["faults/empty"], "faults/empty is no record file, and holds none"),
        (["--root", "nowhere"], "there is no folder 'faults' in nowhere"),
    ],
)
def test_what_cannot_be_checked_is_refused_plainly(book, capsys, arguments, reason):
    (book / "notes.txt").write_text("nothing of the book", encoding="utf-8")
    (book / "faults/README.md").write_text("how to write records", encoding="utf-8")
    (book / "faults/empty").mkdir()
    assert main(["check", *arguments]) == 2
    shown = capsys.readouterr()
    assert shown.err.startswith(f"benchlore: {reason}")
    assert shown.out == ""


def test_folder_without_a_book_is_refused(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert main(["check"]) == 2
    assert "there is no folder 'faults' in" in capsys.readouterr().err


def test_root_names_the_book(book, capsys, tmp_path_factory, monkeypatch):
    monkeypatch.chdir(tmp_path_factory.mktemp("elsewhere"))
    assert main(["check", "--root", str(book)]) == 0
    assert main(["check", "--root", str(book), str(book / FUSE)]) == 0


@pytest.mark.parametrize("spoil", [False, True])
def test_json_keeps_to_its_schema(book, capsys, spoil):
    if spoil:
        edit(book, FUSE, "part: F1", "part: F7")
        edit(book, LINE, "hazard: [lithium-pack, static]", "hazard: [static, lithium-pack]")
    code = main(["check", "--format", "json"])
    shown = json.loads(capsys.readouterr().out)
    jsonschema.Draft202012Validator(schema("findings")).validate(shown)
    assert shown["failed"] == spoil == bool(code)
    assert (shown["errors"], shown["warnings"], shown["notes"], shown["files"]) == (spoil, spoil, 0, 15)


def test_annotations_name_file_line_and_column(book, capsys):
    edit(book, FUSE, "part: F1", "part: F7")
    assert main(["check", "--format", "github"]) == 1
    assert capsys.readouterr().out == (
        "::error file=faults/wren-5/fuse-open.yaml,line=16,col=9,title=unknown-part::"
        "'F7' is not a part of wren-5%0Adid you mean 'F1'?\n"
    )
