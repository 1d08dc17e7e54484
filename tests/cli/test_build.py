"""`benchlore build` says in one line why there is no site, and puts none among its own sources."""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path

import pytest

from benchlore.cli import main
from tests.rules.fixtures import GOOD


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    root = tmp_path / "book"
    shutil.copytree(GOOD, root)
    (root / "mkdocs.yml").write_text("site_name: x\n", encoding="utf-8")
    monkeypatch.chdir(root)
    return root


def one_line(capsys: pytest.CaptureFixture[str]) -> str:
    said = capsys.readouterr().err
    assert said.startswith("benchlore: ")
    assert said.count("\n") == 1
    return said


@pytest.mark.parametrize("place", ["mkdocs.yml/x", "a" * 300, "a\0b", "loop"])
def test_place_that_cannot_hold_a_site(place, book, capsys):
    (book / "loop").symlink_to("loop")
    assert main(["build", "--site-dir", place]) == 2
    one_line(capsys)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="/proc takes no folders, on Linux")
def test_system_that_takes_no_folders(book, capsys):
    assert main(["build", "--site-dir", "/proc/a/b"]) == 2
    assert "/proc/a" in one_line(capsys)


def test_folder_that_cannot_be_written(book, capsys, monkeypatch):
    """The refusal is played: root may write everywhere."""

    def refuse(path: Path, *_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(Path, "open", refuse)
    assert main(["build"]) == 2
    assert "Permission denied" in one_line(capsys)


@pytest.mark.parametrize(
    "place", ["faults", "faults/site", "site_overrides/pages/out", "schema/x", "tools/x/y", "tests", "in"]
)
def test_place_among_the_sources(place, book, capsys):
    (book / "in").symlink_to("faults/site")
    before = sorted(os.walk(book))
    assert main(["build", "--site-dir", place]) == 2
    assert "among what the site is made from" in one_line(capsys)
    assert sorted(os.walk(book)) == before


def test_reason_of_the_generator_is_given(book, capsys):
    assert main(["build"]) == 1
    assert "docs_dir" in one_line(capsys)
    assert not (book / "site").exists()


def test_ctrl_c_leaves_nothing_behind(book, capsys, monkeypatch):
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("benchlore.site.build.build_site", stop)
    before = {*book.iterdir(), book / ".site-lock"}
    assert main(["build"]) == 130
    assert one_line(capsys) == "benchlore: stopped\n"
    assert set(book.iterdir()) == before
