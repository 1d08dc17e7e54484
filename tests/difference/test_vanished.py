"""`benchlore check --against BASE` names ids that are gone without a word."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest

from benchlore.cli import main
from tests.rules.fixtures import GOOD

WREN = "faults/wren-5"


@pytest.fixture
def books(tmp_path: Path) -> tuple[Path, Path]:
    """A book as it was, and as it is."""
    old, new = tmp_path / "old", tmp_path / "new"
    shutil.copytree(GOOD, old)
    shutil.copytree(GOOD, new)
    return old, new


def found(
    books: tuple[Path, Path], capsys: pytest.CaptureFixture[str], base: str = ""
) -> list[tuple[str, ...]]:
    main(["check", "--root", str(books[1]), "--against", base or str(books[0]), "--format", "json"])
    findings = json.loads(capsys.readouterr().out)["findings"]
    return [
        (f["file"], f["severity"], f["message"], f["mend"])
        for f in findings
        if f["rule"] in ("id-vanished", "entry-vanished")
    ]


def test_a_book_that_lost_nothing_has_no_finding(books, capsys):
    assert found(books, capsys) == []


def test_a_record_moved_with_plain_mv_is_named_with_its_new_id(books, capsys):
    (books[1] / WREN / "fuse-open.yaml").rename(books[1] / WREN / "input-fuse-open.yaml")
    ((file, severity, _, mend),) = found(books, capsys)
    assert (file, severity) == (f"{WREN}/fuse-open.yaml", "error")
    assert "moved_to: wren-5/input-fuse-open" in mend


def test_a_record_deleted_with_plain_rm_is_named(books, capsys):
    (books[1] / WREN / "fuse-open.yaml").unlink()
    ((file, severity, message, mend),) = found(books, capsys)
    assert (file, severity, message) == (f"{WREN}/fuse-open.yaml", "error", "'wren-5/fuse-open' is gone")
    assert "retired:" in mend


@pytest.mark.parametrize("left", ["moved_to: wren-5/line-held-low\n", "retired: It never was one.\n"])
def test_a_record_that_was_moved_or_retired_is_not(left, books, capsys):
    (books[1] / WREN / "fuse-open.yaml").write_text(left, encoding="utf-8")
    assert found(books, capsys) == []


def test_a_retired_id_that_is_used_again_is_named(books, capsys):
    (books[0] / WREN / "fuse-open.yaml").write_text("retired: It never was one.\n", encoding="utf-8")
    ((_, _, message, _),) = found(books, capsys)
    assert "used again" in message


def test_a_retired_record_that_is_gone_is_named(books, capsys):
    (books[0] / WREN / "old.yaml").write_text("retired: It never was one.\n", encoding="utf-8")
    ((file, *_),) = found(books, capsys)
    assert file == f"{WREN}/old.yaml"


def test_a_measurement_and_a_symptom_that_are_gone_are_warned_of(books, capsys):
    family = books[0] / WREN / "family.yaml"
    text = family.read_text(encoding="utf-8")
    family.write_text(text.replace("  socket-look:\n", "  old-look:\n"), encoding="utf-8")
    assert [(file, severity, message) for file, severity, message, _ in found(books, capsys)] == [
        (f"{WREN}/family.yaml", "warning", "the measurement 'old-look' is gone")
    ]


def test_a_family_that_is_gone_is_one_finding(books, capsys):
    shutil.copytree(books[0] / WREN, books[0] / "faults/wren-6")
    ((file, severity, message, _),) = found(books, capsys)
    assert (file, severity) == ("faults/wren-6/family.yaml", "error")
    assert "the family 'wren-6' is gone, with 3 fault patterns" in message


def test_what_cannot_be_read_is_not_gone(books, capsys):
    path = books[1] / WREN / "fuse-open.yaml"
    path.write_text(path.read_text(encoding="utf-8") + "seen: 7\n", encoding="utf-8")
    assert found(books, capsys) == []


def test_base_may_be_a_git_revision(books, capsys):
    book = books[1]
    for args in (["init", "-q"], ["add", "-A"], ["commit", "-qm", "The book as it was"]):
        who = ["-c", "user.name=a", "-c", "user.email=a@example.org"]
        subprocess.run(["git", *who, *args], cwd=book, check=True)
    (book / WREN / "fuse-open.yaml").unlink()
    assert [one[0] for one in found(books, capsys, "HEAD")] == [f"{WREN}/fuse-open.yaml"]


def test_a_base_that_is_neither_is_refused(books, capsys):
    assert main(["check", "--root", str(books[1]), "--against", "no-such-state"]) == 2
    assert "neither a folder" in capsys.readouterr().err
