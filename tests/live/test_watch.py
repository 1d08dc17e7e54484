"""What `build --serve` looks at for changes."""

from __future__ import annotations

import os

import pytest

from benchlore.live.watch import changed, settled, snapshot


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "faults" / "wren-5").mkdir(parents=True)
    (tmp_path / "faults" / "wren-5" / "x.yaml").write_text("title: x")
    (tmp_path / "mkdocs.yml").write_text("site_name: x")
    return tmp_path


def saved(folder):
    (folder / "faults/wren-5/x.yaml").write_text("title: longer")


def saved_with_size_and_time_as_before(folder):
    path = folder / "faults/wren-5/x.yaml"
    before = path.stat()
    twin = path.with_name("twin")
    twin.write_text("title: y")
    os.utime(twin, ns=(before.st_atime_ns, before.st_mtime_ns))
    twin.replace(path)


def added(folder):
    (folder / "faults/wren-5/new.yaml").write_text("")


def deleted(folder):
    (folder / "faults/wren-5/x.yaml").unlink()


def renamed(folder):
    (folder / "faults/wren-5").rename(folder / "faults/wren-6")


def saved_beside(folder):
    (folder / "mkdocs.yml").write_text("site_name: another")


@pytest.mark.parametrize(
    "change", [saved, saved_with_size_and_time_as_before, added, deleted, renamed, saved_beside]
)
def test_a_change_is_seen(change, folder):
    places = (folder / "faults", folder / "mkdocs.yml", folder / "none")
    before = snapshot(places)
    assert snapshot(places) == before
    change(folder)
    assert snapshot(places) != before


@pytest.mark.parametrize("name", [".x.yaml.swp", "x.yaml~", "__pycache__/x.py", "x.pyc"])
def test_what_editors_leave_beside_is_no_change(name, folder):
    before = snapshot((folder / "faults",))
    path = folder / "faults" / name
    path.parent.mkdir(exist_ok=True)
    path.write_text("")
    assert snapshot((folder / "faults",)) == before


def test_a_file_that_is_still_written_is_waited_for():
    looks = iter([1, 2, 3, 3, 4])
    assert settled(lambda: next(looks), 0) == 3
    looks = iter([0, 0, 1, 2, 2, 5])
    assert changed(lambda: next(looks), 0, lambda: True) == 2


def test_nobody_waits_for_ever():
    alive = iter([True, True, False])
    assert changed(lambda: 0, 0, lambda: next(alive)) is None
