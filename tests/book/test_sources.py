"""Files on disk that cannot be records are findings; the others are read all the same."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from benchlore.book import load_book
from benchlore.book.sources import list_files, read_files
from benchlore.findings import Origin, Problem


def read_sources(root):
    """The texts of a book, and all findings about its files."""
    listing = list_files(root)
    sources, findings = read_files(root, listing.paths)
    return sources, (*findings, *listing.findings)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    (tmp_path / "faults" / "kite-9").mkdir(parents=True)
    (tmp_path / "faults" / "kite-9" / "good.yaml").write_text(
        "title: x\nfix:\n  minutes: 3\n", encoding="utf-8"
    )
    return tmp_path


def rules_of(root: Path, file: str) -> list[str]:
    return [finding.rule for finding in read_sources(root)[1] if finding.file == file]


def test_a_missing_folder_is_said(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError, match="there is no folder 'faults'"):
        read_sources(tmp_path)


def test_a_link_out_of_the_book_is_a_finding(root: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    outside = tmp_path_factory.mktemp("outside")
    (outside / "secret.yaml").write_text("title: secret\n", encoding="utf-8")
    (root / "faults" / "kite-9" / "linked.yaml").symlink_to(outside / "secret.yaml")
    (root / "faults" / "linked-folder").symlink_to(outside, target_is_directory=True)
    sources, _ = read_sources(root)
    assert rules_of(root, "faults/kite-9/linked.yaml") == ["file-unreadable"]
    assert rules_of(root, "faults/linked-folder") == ["file-unreadable"]
    assert list(sources.texts) == ["faults/kite-9/good.yaml"]


def test_a_link_in_a_circle_and_a_pipe_are_findings(root: Path) -> None:
    (root / "faults" / "kite-9" / "loop.yaml").symlink_to("loop.yaml")
    os.mkfifo(root / "faults" / "kite-9" / "pipe.yaml")
    assert rules_of(root, "faults/kite-9/loop.yaml") == ["file-unreadable"]
    assert rules_of(root, "faults/kite-9/pipe.yaml") == ["file-unreadable"]


def test_a_closed_folder_is_a_finding(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its records would be missing without a word. The refusal is played: root may read everything."""
    scandir = os.scandir

    def refusing(path: str) -> object:
        if Path(path).name == "kite-9":
            raise PermissionError(13, "Permission denied", str(path))
        return scandir(path)

    monkeypatch.setattr(os, "scandir", refusing)
    sources, findings = read_sources(root)
    assert dict(sources.texts) == {}
    assert [(f.file, f.rule, f.severity) for f in findings] == [("faults/kite-9", "file-unreadable", "error")]
    assert "Permission denied" in findings[0].message


def test_a_closed_record_is_a_finding(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (root / "faults" / "kite-9" / "closed.yaml").write_text("title: x\n", encoding="utf-8")
    read = Path.read_bytes

    def refusing(path: Path) -> bytes:
        if path.name == "closed.yaml":
            raise PermissionError(13, "Permission denied", str(path))
        return read(path)

    monkeypatch.setattr(Path, "read_bytes", refusing)
    sources, _ = read_sources(root)
    assert rules_of(root, "faults/kite-9/closed.yaml") == ["file-unreadable"]
    assert list(sources.texts) == ["faults/kite-9/good.yaml"]


def test_names_that_differ_only_in_case_are_a_finding(root: Path) -> None:
    (root / "faults" / "kite-9" / "GOOD.yaml").write_text("title: x\n", encoding="utf-8")
    found = [f for f in read_sources(root)[1] if "only in case" in f.message]
    assert [f.file for f in found] == ["faults/kite-9/good.yaml"]


def test_a_file_of_fifty_megabytes_is_not_read(root: Path) -> None:
    with (root / "faults" / "kite-9" / "huge.yaml").open("wb") as file:
        file.truncate(50_000_000)
    assert rules_of(root, "faults/kite-9/huge.yaml") == ["file-too-large"]


@pytest.mark.parametrize("name", ["notes.yml", "picture.png", "record.json"])
def test_files_of_other_kinds_are_findings(root: Path, name: str) -> None:
    (root / "faults" / "kite-9" / name).write_text("x", encoding="utf-8")
    assert rules_of(root, f"faults/kite-9/{name}") == ["file-misnamed"]


@pytest.mark.parametrize("name", ["Bad_Name.yaml", "two words.yaml", "-x.yaml", "deep/er/x.yaml"])
def test_paths_that_name_no_record_are_findings(root: Path, name: str) -> None:
    path = root / "faults" / "kite-9" / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("title: x\n", encoding="utf-8")
    found = [f.rule for f in load_book(root).findings if f.file == f"faults/kite-9/{name}"]
    assert found == ["file-misnamed"]


@pytest.mark.parametrize("path", [f"kite-9/{'x' * 81}.yaml", f"{'x' * 81}/family.yaml"])
def test_names_that_pages_cannot_have_are_findings(root: Path, path: str) -> None:
    (root / "faults" / path).parent.mkdir(exist_ok=True)
    (root / "faults" / path).write_text("title: x\n", encoding="utf-8")
    found = [f.rule for f in load_book(root).findings if f.file == f"faults/{path}"]
    assert found == ["file-misnamed"]


def test_bad_files_do_not_hide_the_findings_of_others(root: Path) -> None:
    (root / "faults" / "kite-9" / "latin.yaml").write_bytes(b"title: caf\xe9\n")
    (root / "faults" / "kite-9" / "empty.yaml").write_bytes(b"")
    found = {(f.file, f.rule) for f in load_book(root).findings}
    assert ("faults/kite-9/latin.yaml", "not-utf-8") in found
    assert ("faults/kite-9/empty.yaml", "empty-file") in found
    assert ("faults/kite-9/good.yaml", "missing-field") in found
    assert ("faults/common/shop.yaml", "missing-file") in found


def test_a_problem_is_placed_at_its_value_its_key_or_the_record_above(root: Path) -> None:
    sources, _ = read_sources(root)
    file = "faults/kite-9/good.yaml"

    def place(*path: str, on_key: bool = False) -> tuple[int, int]:
        found = sources.finding("r", "error", Problem(Origin(file, path), "m", "", on_key))
        return found.line, found.column

    assert place("fix", "minutes") == (3, 12)
    assert place("fix", "minutes", on_key=True) == (3, 3)
    assert place("fix", "steps") == (2, 1)
    assert place("nothing") == (1, 1)
