"""Results kept by content: the same with and without them, and never stale."""

from __future__ import annotations

import json

import pytest

from benchlore.site.cache import key_of, remembered


def never() -> object:
    raise AssertionError("made again")


def test_a_result_is_made_once_for_a_key(tmp_path):
    folder = tmp_path / "not-there-yet"
    assert remembered("plans-x", "k", lambda: [1.5, {"a": None}], folder) == [1.5, {"a": None}]
    assert remembered("plans-x", "k", never, folder) == [1.5, {"a": None}]


def test_another_key_makes_it_again(tmp_path):
    remembered("plans-x", "k", lambda: 1, tmp_path)
    assert remembered("plans-x", "other", lambda: 2, tmp_path) == 2
    assert remembered("plans-x", "k", lambda: 3, tmp_path) == 3
    assert sorted(path.name for path in tmp_path.iterdir()) == ["plans-x.json", "plans-x.lock"]


@pytest.mark.parametrize("spoiled", ["", "{", "[]", '{"key": "k"}', "\ufffd"])
def test_a_spoiled_file_is_made_again(tmp_path, spoiled):
    (tmp_path / "plans-x.json").write_text(spoiled, encoding="utf-8")
    assert remembered("plans-x", "k", lambda: 7, tmp_path) == 7
    assert json.loads((tmp_path / "plans-x.json").read_text())["value"] == 7


def test_a_folder_that_cannot_be_written_costs_only_time(tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("")
    assert remembered("plans-x", "k", lambda: 7, blocked) == 7


def test_a_name_that_is_no_file_name_is_not_kept(tmp_path):
    assert remembered("../x", "k", lambda: 7, tmp_path) == 7
    assert list(tmp_path.iterdir()) == []


def test_keys_follow_the_inputs():
    assert key_of("a", 1.0) == key_of("a", 1.0)
    assert len({key_of("a", 1.0), key_of("a", 1.5), key_of("a1.0"), key_of("b", 1.0)}) == 4
