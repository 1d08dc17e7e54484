"""The package as a shop gets it: installed in a clean environment, it does all that it says."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import tarfile
import time
import urllib.request
import venv
import zipfile
from collections.abc import Iterator
from importlib.metadata import version
from pathlib import Path

import pytest

from bootstrap import ROOT, venv_python

# A wheel names its licence as PEP 639 has it, which setuptools reads from 77 on.
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(int(version("setuptools").split(".")[0]) < 77, reason="setuptools is older than 77"),
]
_ARCHIVES = """
import sys
from setuptools import build_meta
print(build_meta.build_sdist(sys.argv[1]))
"""


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with blanks and umlauts in its path."""
    return tmp_path_factory.mktemp("Werkstatt für Geräte")


@pytest.fixture(scope="module")
def archive(place: Path) -> Path:
    """The source archive, made of what git holds."""
    source = place / "source"
    names = _run(["git", "ls-files", "-z"], cwd=ROOT).split("\0")
    for name in filter(None, names):
        if (ROOT / name).is_file():
            target = source / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes((ROOT / name).read_bytes())
    made = _run([sys.executable, "-c", _ARCHIVES, str(place)], cwd=source).splitlines()[-1]
    return place / made


@pytest.fixture(scope="module")
def wheel(archive: Path, place: Path) -> Path:
    """The wheel, made of the source archive alone."""
    _run(
        [
            sys.executable,
            "-m",
            "pip",
            "wheel",
            "-q",
            "--no-deps",
            "--no-build-isolation",
            "-w",
            str(place),
            str(archive),
        ]
    )
    return next(place.glob("*.whl"))


@pytest.fixture(scope="module")
def installed(wheel: Path, place: Path) -> Iterator[Path]:
    """The command of an environment that holds the wheel; nobody may write into the package.

    The other packages are those of this run: they are found through a path, so nothing is fetched.
    """
    folder = place / "env"
    venv.create(folder, with_pip=False)
    python = venv_python(folder)
    home = Path(_run([str(python), "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"]).strip())
    (home / "others.pth").write_text(f"{sysconfig.get_path('purelib')}\n", encoding="utf-8")
    _run(
        [
            sys.executable,
            "-m",
            "pip",
            "--python",
            str(python),
            "install",
            "-q",
            "--no-deps",
            "--no-index",
            str(wheel),
        ]
    )
    package = home / "benchlore"
    for path in (package, *package.rglob("*")):
        path.chmod(0o555 if path.is_dir() else 0o444)
    before = _state(package)
    yield python.with_name("benchlore.exe" if os.name == "nt" else "benchlore")
    assert _state(package) == before  # root may write everywhere, so this is looked at, too
    for path in (package, *package.rglob("*")):
        path.chmod(0o755)


def _state(package: Path) -> dict[str, int]:
    return {str(path): path.stat().st_mtime_ns for path in package.rglob("*")}


def _run(command: list[str], cwd: Path | None = None, **more: str) -> str:
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONPATH"} | more
    result = subprocess.run(
        command, cwd=cwd, capture_output=True, text=True, env=environment, encoding="utf-8"
    )
    assert result.returncode == 0, f"{command}\n{result.stdout}{result.stderr}"
    return result.stdout


def test_archive_and_wheel_hold_what_the_commands_read(archive, wheel):
    with tarfile.open(archive) as held:
        below = {name.partition("/")[2] for name in held.getnames()}
    packed = set(zipfile.ZipFile(wheel).namelist())
    for name in (
        "mkdocs.yml",
        "schema/fault.schema.json",
        "site_overrides/theme/main.html",
        "faults/common/hazards.yaml",
    ):
        assert name in below
        assert f"benchlore/_shipped/{name}" in packed
    assert {"LICENSE", "LICENSE-RECORDS", "tools/packing.py"} <= below
    assert "benchlore/starter/book/faults/sample-board/family.yaml" in packed
    assert not [name for name in packed if "petrel" in name or name.startswith("tests")]


def test_book_from_start_to_site(installed, place):
    """init, check, build, as the README has them: a book in a folder with blanks and umlauts."""
    shop = place / "Mäx' shop"
    cache = {"XDG_CACHE_HOME": str(place / "cache"), "LOCALAPPDATA": str(place / "cache")}
    assert _run([str(installed), "--version"]) == f"benchlore {version('benchlore')}\n"
    _run([str(installed), "init", str(shop)])
    assert _run([str(installed), "check", "--strict"], cwd=shop, **cache).startswith("no findings")
    said = _run([str(installed), "build", "--strict"], cwd=shop, **cache)
    assert said.strip() == f"site: {shop / 'site' / 'index.html'}"
    page = (shop / "site" / "index.html").read_text(encoding="utf-8")
    assert "<title>Mäx&#39; shop</title>" in page
    assert 'content="max-shop"' in page
    assert (shop / "site" / "sample-board" / "input-fuse-open.html").is_file()
    assert (shop / ".github" / "ISSUE_TEMPLATE" / "unsafe-advice.md").is_file()
    assert (shop / "schema" / "fault.schema.json").is_file()
    answer = _run([str(installed), "rank", "sample-board", "--symptom", "no-power"], cwd=shop, **cache)
    assert "Input fuse is open" in answer
    assert "12.1" in _run([str(installed), "export"], cwd=shop, **cache)
    git = ["git", "-c", "user.name=x", "-c", "user.email=x@example.org"]
    for command in (["init", "-q"], ["add", "."], ["commit", "-qm", "first"]):
        _run([*git, *command], cwd=shop)
    _run([str(installed), "new", "symptom", "charges-slowly", "--yes"], cwd=shop, **cache)
    assert "symptom charges-slowly" in _run([str(installed), "diff"], cwd=shop, **cache)


def test_book_is_served_and_built_again_after_a_save(installed, place):
    shop = place / "served shop"
    _run([str(installed), "init", str(shop)])
    environment = {**os.environ, "PYTHONUNBUFFERED": "1", "XDG_CACHE_HOME": str(place / "cache")}
    environment.pop("PYTHONPATH", None)
    command = [str(installed), "build", "--serve"]
    with subprocess.Popen(command, cwd=shop, stdout=subprocess.PIPE, text=True, env=environment) as process:
        try:
            assert process.stdout is not None
            address = next(word for word in process.stdout.readline().split() if word.startswith("http"))
            page = f"{address}sample-board/input-fuse-open.html"
            _wait_for(page, "Input fuse is open")
            record = shop / "faults" / "sample-board" / "input-fuse-open.yaml"
            record.write_text(
                record.read_text(encoding="utf-8").replace("Input fuse is", "Main fuse is"), encoding="utf-8"
            )
            _wait_for(page, "Input fuse is open")
        finally:
            process.terminate()


def _wait_for(address: str, text: str) -> None:
    end = time.monotonic() + 120
    while time.monotonic() < end:
        try:
            with urllib.request.urlopen(address) as answer:
                if text in answer.read().decode():
                    return
        except OSError:
            pass
        time.sleep(0.2)
    raise AssertionError(f"{address} never said {text!r}")
