"""What runs otherwise on Windows and macOS: paths, commands and locks, by what each system would be asked.

None of this was tried on those systems; the README says so.
"""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
import sys
from pathlib import Path, PureWindowsPath
from types import ModuleType, SimpleNamespace
from typing import Any

import pytest

import bootstrap
import browsers
import javascript
from benchlore import filelock, workers
from bootstrap import venv_python

WINDOWS_PYTHON = PureWindowsPath(r"C:\Users\Ada Byron\benchlore\.venv\Scripts\python.exe")


@pytest.fixture(params=["win32", "darwin"])
def system(request, monkeypatch) -> str:
    """Another system, which has no user ids to ask for where it is Windows."""
    monkeypatch.setattr(sys, "platform", request.param)
    if request.param == "win32":
        monkeypatch.delattr(os, "geteuid")
    name: str = request.param
    return name


def test_the_python_of_the_environment():
    assert venv_python(Path("v"), "nt") == Path("v/Scripts/python.exe")
    assert venv_python(Path("v"), "posix") == Path("v/bin/python")


def test_every_program_is_run_by_the_environments_python(test_script, monkeypatch):
    """`ruff` or `mypy` by name would need a PATH, and their programs lie elsewhere on Windows."""
    ran: list[list[str]] = []

    def run(command: list[str], **_: Any) -> subprocess.CompletedProcess[str]:
        ran.append(command)
        return subprocess.CompletedProcess(command, 0)

    monkeypatch.setattr(subprocess, "run", run)
    monkeypatch.setattr(
        javascript,
        "installed_version",
        lambda package: next(v for n, v in javascript.PACKAGES.items() if n.endswith(package.name)),
    )
    assert [check() for _, check in test_script.checks(WINDOWS_PYTHON)] == [0] * 5
    assert len(ran) == 6  # the types of the scripts' data are made first
    for command in ran:
        assert command[0] == str(WINDOWS_PYTHON)
        assert command[1] == "-m"
        assert all(isinstance(part, str) for part in command)


def test_a_path_with_blanks_stays_one_argument(monkeypatch, tmp_path):
    """Commands are lists; nothing goes through a shell."""
    asked: list[tuple[list[str], dict[str, Any]]] = []

    def run(command: list[str], **more: Any) -> subprocess.CompletedProcess[str]:
        asked.append((command, more))
        return subprocess.CompletedProcess(command, 1)

    monkeypatch.setattr(subprocess, "run", run)
    assert bootstrap._ask(Path(r"C:\Users\Ada Byron\python.exe"), "print(1)") == ""
    (command, more) = asked[0]
    assert command[0] == r"C:\Users\Ada Byron\python.exe"
    assert "shell" not in more


def test_no_script_goes_through_a_shell():
    tools = Path(bootstrap.__file__).parent
    for script in tools.glob("*.py"):
        text = script.read_text(encoding="utf-8")
        assert "shell=True" not in text
        assert "os.system" not in text


def test_only_debian_is_asked_for_packages(system, monkeypatch):
    monkeypatch.setattr(shutil, "which", lambda name: f"/usr/bin/{name}")
    assert browsers.can_use_apt() is False


def test_a_missing_browser_is_looked_for_where_the_system_keeps_them(system, monkeypatch, tmp_path):
    places = {
        "win32": tmp_path / "Google" / "Chrome" / "Application" / "chrome.exe",
        "darwin": tmp_path / "Applications" / "Chromium.app" / "Contents" / "MacOS" / "Chromium",
    }
    place = places[system]
    place.parent.mkdir(parents=True)
    place.touch()
    monkeypatch.setenv("PATH", "")
    monkeypatch.delenv("BENCHLORE_CHROMIUM", raising=False)
    monkeypatch.setenv("PROGRAMFILES", str(tmp_path))
    monkeypatch.setenv("HOME", str(tmp_path))
    found = browsers.usual_places("chromium", system, os.environ)
    assert str(place) in [str(one).replace("\\", "/") for one in found]


def test_elsewhere_the_work_is_done_in_this_process(system):
    assert dict(workers.spread(lambda name: os.getpid(), ["a", "b", "c"])) == dict.fromkeys(
        "abc", os.getpid()
    )


class Msvcrt(ModuleType):
    """Windows' locks of a file's first byte, as its documentation tells them: a second one is an OSError."""

    LK_NBLCK, LK_UNLCK = 2, 0

    def __init__(self) -> None:
        super().__init__("msvcrt")
        self.held: set[tuple[int, int]] = set()

    def locking(self, handle: int, mode: int, count: int) -> None:
        assert count == 1
        assert os.lseek(handle, 0, os.SEEK_CUR) == 0  # the first byte, in each of the calls
        key = (os.fstat(handle).st_dev, os.fstat(handle).st_ino)
        if mode == self.LK_UNLCK:
            self.held.remove(key)
        elif key in self.held:
            raise OSError(13, "Permission denied")
        else:
            self.held.add(key)


@pytest.fixture
def windows_lock(monkeypatch) -> Any:
    """`FileLock` as it is on Windows."""
    fake = Msvcrt()
    monkeypatch.setattr(sys, "platform", "win32")
    monkeypatch.setitem(sys.modules, "msvcrt", fake)
    spec = importlib.util.spec_from_file_location("windows_filelock", filelock.__file__)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return SimpleNamespace(FileLock=module.FileLock, held=fake.held, module=module)


def test_the_lock_of_windows_waits_and_lets_go(windows_lock, tmp_path, monkeypatch):
    waited = []
    first = windows_lock.FileLock(tmp_path / "lock")
    second = windows_lock.FileLock(tmp_path / "lock", lambda: waited.append("told"))
    first.__enter__()
    monkeypatch.setattr(windows_lock.module.time, "sleep", lambda _: first.__exit__(None, None, None))
    with second:
        assert waited == ["told"]
        assert len(windows_lock.held) == 1
    assert windows_lock.held == set()


def test_the_readme_says_what_was_not_tried():
    readme = (Path(bootstrap.__file__).parents[1] / "README.md").read_text(encoding="utf-8")
    assert "tried on Linux" in readme
    for name in ("Windows", "macOS"):
        assert name in readme
