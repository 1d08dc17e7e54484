"""Results kept by content: the same with and without them, never stale, never believed where spoiled."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from benchlore.cache import code_of, keep, key_of, like, recall, remembered

ROOT = Path(__file__).resolve().parents[1]


def never() -> object:
    raise AssertionError("made again")


def forged(value: object, key: str = "k") -> str:
    """An entry as the cache itself writes it, checksum and all."""
    body = json.dumps(value)
    return f"benchlore-cache 1 {key} {hashlib.sha256(body.encode()).hexdigest()}\n{body}"


def test_a_result_is_made_once_for_a_key(tmp_path):
    folder = tmp_path / "not-there-yet"
    form = (float, {str: None})
    assert remembered("plans/x", "k", lambda: [1.5, {"a": None}], form, folder) == [1.5, {"a": None}]
    assert remembered("plans/x", "k", never, form, folder) == [1.5, {"a": None}]


def test_another_key_makes_it_again(tmp_path):
    remembered("plans-x", "k", lambda: 1, int, tmp_path)
    assert remembered("plans-x", "other", lambda: 2, int, tmp_path) == 2
    assert remembered("plans-x", "k", lambda: 3, int, tmp_path) == 3
    assert sorted(path.name for path in tmp_path.iterdir()) == ["plans-x.json", "plans-x.lock"]


@pytest.mark.parametrize(
    "spoiled",
    [
        "",
        "{",
        '{"key": "k", "value": 21}',
        "\ufffd",
        forged(21).replace("21", "22"),  # another figure under the old checksum
        forged(21, "other"),
        forged("a text where a number belongs"),
        forged([[[[21]]]]),
        "benchlore-cache 1 k " + hashlib.sha256(b"[" * 100_000).hexdigest() + "\n" + "[" * 100_000,
    ],
)
def test_a_spoiled_file_is_made_again(tmp_path, spoiled):
    (tmp_path / "plans-x.json").write_text(spoiled, encoding="utf-8")
    assert remembered("plans-x", "k", lambda: 7, int, tmp_path) == 7
    assert recall("plans-x", "k", int, tmp_path) == (7,)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs named pipes")
def test_a_pipe_in_the_place_of_a_file_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "plans-x.json")
    os.mkfifo(tmp_path / "plans-x.lock")
    assert remembered("plans-x", "k", lambda: 7, int, tmp_path) == 7


@pytest.mark.skipif(os.name == "nt", reason="links need a right on Windows")
def test_a_link_is_not_followed(tmp_path):
    keep("elsewhere", "k", 21, tmp_path)
    (tmp_path / "plans-x.json").symlink_to(tmp_path / "elsewhere.json")
    assert remembered("plans-x", "k", lambda: 7, int, tmp_path) == 7


def test_a_folder_that_cannot_be_written_costs_only_time(tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("")
    assert remembered("plans-x", "k", lambda: 7, int, blocked) == 7


def test_a_name_that_is_no_file_name_is_not_kept(tmp_path):
    assert remembered("../x", "k", lambda: 7, int, tmp_path) == 7
    assert list(tmp_path.iterdir()) == []


def test_keys_follow_the_inputs():
    assert key_of("a", 1.0) == key_of("a", 1.0)
    assert len({key_of("a", 1.0), key_of("a", 1.5), key_of("a1.0"), key_of("b", 1.0)}) == 4


def test_a_key_names_only_modules_that_there_are():
    with pytest.raises(FileNotFoundError, match="no-such"):
        code_of("cache.py", "no-such.py")


def test_keys_follow_the_code_and_the_python(monkeypatch):
    code = code_of("cache.py")
    assert code != code_of("cache.py", "filelock.py") != code_of("cache.py", packages=("pyyaml",))
    code_of.cache_clear()
    monkeypatch.setattr("sys.version", "3.99.0")
    assert code_of("cache.py") != code
    code_of.cache_clear()


def test_code_that_is_edited_while_it_runs_does_not_pass_for_the_new_one(tmp_path):
    """Two processes with the same modules loaded: one sees an edit after it has begun."""
    package = tmp_path / "benchlore"
    shutil.copytree(ROOT / "tools/benchlore", package, ignore=shutil.ignore_patterns("__pycache__"))
    program = (
        "from benchlore.cache import code_of; from pathlib import Path; import sys\n"
        "edit = sys.argv[1:] and Path(sys.argv[1]).write_text('# edited', 'utf-8')\n"
        "print(code_of('site/drawings'), code_of('.'), code_of('quantity.py'))"
    )

    def codes(*arguments: str) -> list[str]:
        run = [sys.executable, "-c", program, *arguments]
        environment = {**os.environ, "PYTHONPATH": str(tmp_path)}
        return subprocess.run(run, env=environment, capture_output=True, text=True, check=True).stdout.split()

    before = codes()
    assert codes(str(package / "site/drawings/svg.py")) == before
    after = codes()
    assert [one == other for one, other in zip(before, after, strict=True)] == [False, False, True]


@pytest.mark.parametrize(
    ("value", "form", "fits"),
    [
        (1, int, True),
        (True, int, False),
        (True, bool, True),
        (1, float, True),
        ("1", float, False),
        (None, None, True),
        ([1, 2], [int], True),
        ([1, "2"], [int], False),
        ([1, "2"], (int, str), True),
        ([1], (int, str), False),
        ({"a": [1]}, {str: [int]}, True),
        ({"a": 1}, {str: [int]}, False),
        ({"a": 1}, [int], False),
        (4, lambda value: value == 4, True),
    ],
)
def test_a_form_is_held_to(value, form, fits):
    assert like(value, form) is fits


def test_no_entry_is_tracked():
    """What a change brings along in `.cache` would be believed where its checksum is right."""
    if not (ROOT / ".git").exists():
        pytest.skip("this is no checkout")
    tracked = subprocess.run(
        ["git", "ls-files", ".cache"], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert tracked.stdout == ""
