"""A book checked family by family, in processes and from the cache: the findings of the book in one piece."""

from __future__ import annotations

import json
import os
import random
import shutil
import subprocess
import sys

import pytest
import yaml

from benchlore import cache
from benchlore.book import folder, load_book
from benchlore.book.loader import load_files
from benchlore.book.yaml_reader import parse
from benchlore.rules import book_check, check, check_book, check_known
from tests.rules.fixtures import GOOD, cases, spoiled
from tests.rules.test_no_crash import ODD, PLACES, RECORDS, changed


@pytest.fixture(autouse=True)
def kept(tmp_path_factory, monkeypatch):
    """An empty cache for each test."""
    folder = tmp_path_factory.mktemp("cache")
    monkeypatch.setattr(cache, "_usual_folder", lambda: folder)
    # A worker of pytest has threads, and such a process must not be forked; the command below forks.
    monkeypatch.setattr(book_check, "spread", lambda work, names: [(name, work(name)) for name in names])
    return folder


@pytest.fixture
def two(tmp_path):
    root = tmp_path / "two"
    shutil.copytree(GOOD, root)
    shutil.copytree(root / "faults/wren-5", root / "faults/finch-2")
    return root


def in_one_piece(root):
    return check(load_book(root))


def read_again(root, monkeypatch):
    """The families whose files are read and judged by a check of the book."""
    read: list[str] = []

    def noted(given, paths, kept):
        read.extend({name.split("/")[1] for name in paths} - {"common"})
        return load_files(given, paths, kept)

    with monkeypatch.context() as patch:
        patch.setattr(book_check, "load_files", noted)
        findings = check_book(root).findings
    assert findings == in_one_piece(root)
    return sorted(read)


@pytest.mark.parametrize("case", random.Random(1).sample(cases(), 25), ids=lambda case: case.name)
def test_fixtures_have_the_same_findings_cold_and_warm(case, tmp_path):
    root = spoiled(case, tmp_path)
    wanted = in_one_piece(root)
    assert [check_book(root).findings for _ in range(2)] == [wanted, wanted]


@pytest.mark.parametrize("seed", range(12))
def test_spoiled_books_of_two_families_have_the_same_findings(seed, two):
    chance = random.Random(seed)
    for _ in range(3):
        file, path = chance.choice(PLACES)
        target = two / file.replace("wren-5", chance.choice(("wren-5", "finch-2")))
        record = changed(RECORDS[file], path, chance.choice(ODD), chance.random() < 0.3)
        target.write_text(yaml.safe_dump(record, sort_keys=False), encoding="utf-8")
    wanted = in_one_piece(two)
    assert [check_book(two).findings for _ in range(2)] == [wanted, wanted]


def test_a_family_that_did_not_change_is_not_read_again(two, monkeypatch):
    assert read_again(two, monkeypatch) == ["finch-2", "wren-5"]
    assert read_again(two, monkeypatch) == []
    path = two / "faults/wren-5/fuse-open.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("part: F1", "part: F7"), encoding="utf-8")
    assert read_again(two, monkeypatch) == ["wren-5"]
    (two / "faults/finch-2/rail-short.yaml").rename(two / "faults/finch-2/rail-shorted.yaml")
    assert read_again(two, monkeypatch) == ["finch-2"]
    (two / "faults/finch-2/rail-shorted.yaml").unlink()
    assert read_again(two, monkeypatch) == ["finch-2"]
    shop = two / "faults/common/shop.yaml"
    shop.write_text(shop.read_text(encoding="utf-8") + "# a remark\n", encoding="utf-8")
    assert read_again(two, monkeypatch) == ["finch-2", "wren-5"]
    shutil.rmtree(two / "faults/finch-2")
    assert read_again(two, monkeypatch) == []


def test_a_file_of_the_same_size_and_time_is_read_again(two, monkeypatch):
    assert read_again(two, monkeypatch)
    path = two / "faults/wren-5/fuse-open.yaml"
    before = path.stat()
    path.write_text(path.read_text(encoding="utf-8").replace("part: F1", "part: F7"), encoding="utf-8")
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert read_again(two, monkeypatch) == ["wren-5"]


def test_without_the_cache_nothing_is_kept_or_believed(two, kept):
    assert check_book(two, kept=False).findings == ()
    assert list(kept.iterdir()) == []


def test_what_somebody_put_into_an_entry_is_not_believed(two, kept):
    """Not even behind a checksum that is right: figures in place of findings, notes of another form."""
    check_book(two)
    for path in (kept / "check").glob("*.json"):
        head, body = path.read_text(encoding="utf-8").split("\n")
        key = head.split(" ")[2]
        name = f"check/{path.stem}"
        for spoil in (17, [17], [[], [], True, {}, []], [[[1] * 8], *json.loads(body)[1:]]):
            cache.keep(name, key, spoil, folder=kept)
            assert check_book(two).findings == ()
        path.write_text(f"{head}\n{body.replace('true', 'false')}", encoding="utf-8")
        assert check_book(two).findings == ()


def test_what_somebody_put_into_a_kept_record_is_not_believed(two, kept):
    """Not even behind a checksum that is right: such a record is read again."""
    whole = load_book(two)
    assert load_book(two, kept=True) == whole
    entries = {path.stem: path for path in (kept / "records").glob("*.json")}
    assert sorted(entries) == ["common", "finch-2", "wren-5"]
    for path in (entries["finch-2"], entries["wren-5"]):
        head, body = path.read_text(encoding="utf-8").split("\n")
        key, name = head.split(" ")[2], f"records/{path.stem}"
        spoils: tuple[object, ...] = (17, {}, {"title": 17}, {"moved_to": {}}, {"test_points": None})
        for data in spoils:
            cache.keep(name, key, {file: [held[0], data] for file, held in json.loads(body).items()})
            assert load_book(two, kept=True) == whole
        assert json.loads(path.read_text(encoding="utf-8").split("\n")[1]) == json.loads(body)


@pytest.mark.parametrize("seed", range(6))
def test_what_was_read_before_is_read_alike(seed, two, monkeypatch):
    """The book, its findings and what its rules say, after each of some changes; unchanged files are not
    parsed again."""
    chance = random.Random(seed)
    load_book(two, kept=True)
    for _ in range(4):
        file, path = chance.choice(PLACES)
        target = two / file.replace("wren-5", chance.choice(("wren-5", "finch-2")))
        record = changed(RECORDS[file], path, chance.choice(ODD), chance.random() < 0.3)
        target.write_text(yaml.safe_dump(record, sort_keys=False), encoding="utf-8")
        known = load_book(two, kept=True)
        assert known == load_book(two)
        assert check_known(known) == check_known(known) == in_one_piece(two)


def test_only_a_changed_file_is_parsed_again(two, monkeypatch):
    load_book(two, kept=True)
    parsed: list[str] = []

    def noted(text):
        parsed.append(text)
        return parse(text)

    monkeypatch.setattr(folder, "parse", noted)
    load_book(two, kept=True)
    assert parsed == []
    path = two / "faults/wren-5/fuse-open.yaml"
    path.write_text(path.read_text(encoding="utf-8") + "# a remark\n", encoding="utf-8")
    load_book(two, kept=True)
    assert parsed == [path.read_text(encoding="utf-8")]


def test_a_link_is_refused_every_time(two, monkeypatch, tmp_path):
    assert read_again(two, monkeypatch)
    path = two / "faults/wren-5/fuse-open.yaml"
    path.rename(tmp_path / "elsewhere.yaml")
    path.symlink_to(tmp_path / "elsewhere.yaml")
    for _ in range(2):
        assert read_again(two, monkeypatch) == ["wren-5"]
        assert "file-unreadable" in {finding.rule for finding in check_book(two).findings}


def test_processes_find_what_one_process_finds(two):
    for family, part in (("wren-5", "F7"), ("finch-2", "F8")):
        path = two / f"faults/{family}/fuse-open.yaml"
        path.write_text(
            path.read_text(encoding="utf-8").replace("part: F1", f"part: {part}"), encoding="utf-8"
        )
    command = [
        sys.executable,
        "-m",
        "benchlore",
        "check",
        "--no-cache",
        "--format",
        "json",
        "--root",
        str(two),
    ]
    said = subprocess.run(command, capture_output=True, text=True)
    assert said.returncode == 1
    assert said.stderr == ""
    found = [(one["file"], one["line"], one["rule"]) for one in json.loads(said.stdout)["findings"]]
    assert found == [(one.file, one.line, one.rule) for one in in_one_piece(two)]
    assert len(found) == 2


def test_a_file_that_could_not_be_read_is_forgotten_with_the_file(two):
    """What was found in the rest of its family is not kept under the names of the rest."""
    extra = two / "faults/finch-2/extra.yaml"
    extra.write_bytes(b"\xff\xfe\xfa")
    assert [one.file for one in check_book(two).findings if one.severity == "error"] == [
        "faults/finch-2/extra.yaml"
    ]
    extra.unlink()
    assert check_book(two).findings == in_one_piece(two) == ()


def test_who_goes_on_with_a_book_is_told_of_each_family_that_was_judged_without_an_error(two):
    told: list[str] = []
    fault = two / "faults/finch-2/fuse-open.yaml"
    whole = fault.read_text(encoding="utf-8")
    fault.write_text(whole.replace("part: F1", "part: F99"), encoding="utf-8")

    def check_and_tell():
        told.clear()
        found = check_known(load_book(two), lambda book: told.extend(book.families))
        assert found == in_one_piece(two)
        return sorted(told)

    assert any(one.severity == "error" for one in in_one_piece(two))
    assert check_and_tell() == ["wren-5"]
    assert check_and_tell() == []  # nothing was judged
    fault.write_text(whole, encoding="utf-8")
    assert check_and_tell() == ["finch-2"]
