"""The environment is made when missing, installed into only when something changed, by one run at a time."""

from __future__ import annotations

import ast
import subprocess
import sys
import threading
import time
import venv
from pathlib import Path

import pytest

import bootstrap
from bootstrap import SetupError, satisfied, venv_python, wanted_stamp

TOOLS = Path(bootstrap.__file__).parent
PYPROJECT = b"""
[project]
name = "x"
dependencies = ["mkdocs<2"]
[tool.ruff]
line-length = 110
"""
PINS = b"mkdocs==1.6.1\n"


@pytest.mark.parametrize(
    ("system", "parts"), [("nt", ("v", "Scripts", "python.exe")), ("posix", ("v", "bin", "python"))]
)
def test_python_of_an_environment(system, parts):
    assert venv_python(Path("v"), system).parts == parts


@pytest.mark.parametrize(
    ("pyproject", "pins", "version", "same"),
    [
        (PYPROJECT, PINS, "3.11.7", True),
        (PYPROJECT.replace(b"110", b"100"), PINS, "3.11.7", True),
        (PYPROJECT.replace(b"mkdocs<2", b"mkdocs<3"), PINS, "3.11.7", False),
        (PYPROJECT, b"mkdocs==1.6.0\n", "3.11.7", False),
        (PYPROJECT, PINS, "3.11.8", False),
    ],
    ids=["nothing", "a tool's setting", "a dependency", "a pin", "Python"],
)
def test_what_asks_for_a_new_installation(pyproject, pins, version, same):
    stamp = wanted_stamp(PYPROJECT, [PINS], "3.11.7")
    assert (wanted_stamp(pyproject, [pins], version) == stamp) is same


@pytest.mark.parametrize(
    ("installed", "extras", "enough"),
    [
        ({"python": "3", "extras": ["oracle", "test"]}, ["test"], True),
        ({"python": "3", "extras": []}, [], True),
        ({"python": "3", "extras": ["test"]}, ["oracle"], False),
        ({"python": "2", "extras": ["test"]}, ["test"], False),
        ({}, [], False),
    ],
)
def test_satisfied(installed, extras, enough):
    assert satisfied(installed, {"python": "3"}, extras) is enough


class Place:
    """A project whose environment is made and installed by stand-ins that take notes."""

    def __init__(self, root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.made = 0
        self.installed: list[list[str]] = []
        self.pause = 0.0
        self.trouble: Exception | None = None
        self.damage: list[str] = []
        (root / "pyproject.toml").write_bytes(PYPROJECT)
        monkeypatch.setattr(bootstrap, "ROOT", root)
        monkeypatch.setattr(bootstrap, "REQUIREMENTS", root)
        for extra in ("", *bootstrap.EXTRAS):
            bootstrap.locked(extra).write_bytes(PINS)
        self.pins = bootstrap.locked()
        monkeypatch.setattr(bootstrap, "VENV", root / ".venv")
        monkeypatch.setattr(bootstrap, "_runs", lambda python: self.made > 0)
        monkeypatch.setattr(bootstrap, "damage", lambda python: self.damage.pop(0) if self.damage else "")
        monkeypatch.setattr(bootstrap, "_create", self._create)
        monkeypatch.setattr(bootstrap, "_install", self._install)

    def _create(self) -> None:
        self.made += 1
        bootstrap.VENV.mkdir(exist_ok=True)

    def _install(self, python: Path, extras: list[str]) -> None:
        time.sleep(self.pause)
        if self.trouble:
            raise self.trouble
        self.installed.append(extras)


@pytest.fixture
def place(tmp_path, monkeypatch):
    return Place(tmp_path, monkeypatch)


def test_made_and_installed_once(place):
    python = bootstrap.ensure_venv()
    assert python == venv_python(bootstrap.VENV)
    bootstrap.ensure_venv()
    assert (place.made, place.installed) == (1, [[]])


def test_changed_pins_are_installed_with_what_was_there(place):
    bootstrap.ensure_venv(("test", "oracle"))
    bootstrap.ensure_venv()
    assert place.installed == [["oracle", "test"]]
    place.pins.write_bytes(b"mkdocs==1.6.0\n")
    bootstrap.ensure_venv()
    assert place.installed == [["oracle", "test"]] * 2


def test_more_extras_are_added(place):
    bootstrap.ensure_venv()
    bootstrap.ensure_venv(("test",))
    assert place.installed == [[], ["test"]]


def test_a_failed_installation_is_tried_again(place):
    place.trouble = SetupError("no network")
    with pytest.raises(SetupError):
        bootstrap.ensure_venv()
    place.trouble = None
    bootstrap.ensure_venv()
    assert place.installed == [[]]


def test_a_failed_change_does_not_count_as_installed(place):
    bootstrap.ensure_venv()
    place.pins.write_bytes(b"mkdocs==1.6.0\n")
    place.trouble = SetupError("no network")
    with pytest.raises(SetupError):
        bootstrap.ensure_venv()
    place.trouble = None
    place.pins.write_bytes(PINS)  # what was there before may be half replaced
    bootstrap.ensure_venv()
    assert len(place.installed) == 2


def test_a_damaged_environment_is_made_anew_once(place, capsys):
    bootstrap.ensure_venv(("test",))
    place.damage = ["x/y.py is gone", ""]
    bootstrap.ensure_venv()
    assert (place.made, place.installed) == (2, [["test"]] * 2)
    assert "damaged: x/y.py is gone" in capsys.readouterr().out


def test_an_environment_that_stays_damaged_is_told_what_to_delete(place):
    bootstrap.ensure_venv()
    place.damage = ["x/y.py is gone", "x/y.py is gone"]
    with pytest.raises(SetupError, match=r"y\.py is gone(.|\n)*Delete that folder"):
        bootstrap.ensure_venv()
    assert not bootstrap._stamp_file().exists()


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda package: None, ""),
        (lambda package: (package / "a.py").unlink(), "pack/a.py is gone"),
        (lambda package: (package / "a.py").write_text("x = "), "pack/a.py is not as it was installed"),
    ],
    ids=["whole", "gone", "cut short"],
)
def test_damage_is_a_file_that_is_gone_or_was_cut_short(tmp_path, change, said):
    venv.create(tmp_path / "v", with_pip=False)
    python = venv_python(tmp_path / "v")
    home = next((tmp_path / "v").rglob("site-packages"))
    (home / "pack").mkdir()
    (home / "pack" / "a.py").write_text("x = 1\n")
    (home / "pack-1.dist-info").mkdir()
    (home / "pack-1.dist-info" / "RECORD").write_text("pack/a.py,sha256=x,6\npack-1.dist-info/RECORD,,\n")
    change(home / "pack")
    assert bootstrap.damage(python) == said


@pytest.mark.parametrize("kind", ["a file", "not a program", "a folder"])
def test_a_python_that_cannot_be_started_does_not_run(tmp_path, kind):
    python = tmp_path / "python"
    if kind == "a folder":
        python.mkdir()
    else:
        python.write_bytes(b"\x00nonsense")
        python.chmod(0o755 if kind == "not a program" else 0o644)
    assert not bootstrap._runs(python)


@pytest.mark.parametrize("damage", ["", "{", "[]"])
def test_a_damaged_stamp_means_a_new_installation(place, damage):
    bootstrap.ensure_venv()
    (bootstrap.VENV / "benchlore-installed.json").write_text(damage)
    bootstrap.ensure_venv()
    assert len(place.installed) == 2


def test_two_at_once_make_one_environment(place, capsys):
    place.pause = 0.2
    runs = [threading.Thread(target=bootstrap.ensure_venv) for _ in range(2)]
    for run in runs:
        run.start()
    for run in runs:
        run.join()
    assert (place.made, place.installed) == (1, [[]])
    assert "waiting for it" in capsys.readouterr().out


def test_an_environment_of_another_python_does_not_run(tmp_path):
    assert not bootstrap._runs(tmp_path / "none")
    assert bootstrap._runs(Path(sys.executable))
    other = tmp_path / "python"
    other.write_text("#!/bin/sh\necho '3.99.0 (other)'\n")
    other.chmod(0o755)
    assert not bootstrap._runs(other)


def test_a_python_without_venv_is_told_what_to_install(monkeypatch):
    monkeypatch.setattr(bootstrap, "missing_modules", lambda: ["ensurepip"])
    with pytest.raises(SetupError, match=r"without ensurepip(.|\n)*apt-get install python3\.\d+-venv"):
        bootstrap._create()


def test_this_python_has_all_it_needs():
    assert bootstrap.missing_modules() == []


@pytest.mark.parametrize(
    ("output", "said"),
    [
        (
            "WARNING: Retrying ... NewConnectionError: [Errno -3] Temporary failure in name resolution",
            "no network",
        ),
        ("Could not fetch URL: ProxyError('Cannot connect to proxy.')", "proxy"),
        ("OSError: [Errno 28] No space left on device", "disk is full"),
        ("ERROR: No matching distribution found for mkdocs==9", "its own words"),
    ],
)
def test_what_pip_says_is_explained(output, said):
    assert said in bootstrap.explain_pip(output)


@pytest.mark.slow
def test_no_network_is_a_message(tmp_path, monkeypatch, capsys):
    """The real pip, sent to a port where nobody listens."""
    monkeypatch.setattr(bootstrap, "ROOT", tmp_path)
    monkeypatch.setattr(bootstrap, "REQUIREMENTS", tmp_path)
    bootstrap.locked().write_text(f"nothing-of-that-name==1 --hash=sha256:{'0' * 64}\n")
    for name, value in {
        "PIP_CONFIG_FILE": "/dev/null",
        "PIP_INDEX_URL": "http://127.0.0.1:9/simple",
        "PIP_TIMEOUT": "1",
    }.items():
        monkeypatch.setenv(name, value)
    for name in ("PIP_EXTRA_INDEX_URL", "PIP_FIND_LINKS", "PIP_NO_INDEX"):
        monkeypatch.delenv(name, raising=False)
    with pytest.raises(SetupError, match=r"^The packages could not be fetched: no network"):
        bootstrap._install(Path(sys.executable), [])
    said = capsys.readouterr().out.splitlines()
    assert said[1] == "The package index does not answer; trying again for a moment ..."
    assert len(said) == 2


@pytest.mark.parametrize("script", ["build.py", "supply.py", "test.py"])
def test_an_old_python_gets_as_far_as_the_message(script):
    ast.parse((TOOLS / script).read_text(encoding="utf-8"), feature_version=(3, 6))
    old = "import sys; sys.version_info = (3, 10, 2); sys.version = '3.10.2 (old)'"
    run = "import runpy; runpy.run_path(sys.argv[1])"
    command = [sys.executable, "-c", f"{old}; {run}", str(TOOLS / script)]
    result = subprocess.run(command, capture_output=True, text=True)
    assert result.returncode == 1
    assert result.stderr == "Benchlore needs Python 3.11 or newer; this is Python 3.10.2.\n"


def test_trouble_ends_with_a_message():
    def fail() -> int:
        raise SetupError("no venv")

    def interrupt() -> int:
        raise KeyboardInterrupt

    with pytest.raises(SystemExit, match="no venv"):
        bootstrap.finish(fail)
    with pytest.raises(SystemExit, match="Stopped"):
        bootstrap.finish(interrupt)
    with pytest.raises(SystemExit) as ended:
        bootstrap.finish(lambda: 3)
    assert ended.value.code == 3
