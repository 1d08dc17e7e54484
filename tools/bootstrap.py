"""The project's own virtual environment: made when missing, installed into only when something changed.

Standard library only: this runs before anything is installed.
"""

from __future__ import annotations

import hashlib
import importlib.util
import json
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable, Collection, Mapping, Sequence
from pathlib import Path
from typing import Any, NoReturn

from benchlore.filelock import FileLock

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
REQUIREMENTS = ROOT / "tools" / "requirements"
EXTRAS = ("test", "oracle", "benchmark", "fuzz", "mutation", "release")
OLDEST = "3.11"  # the oldest Python that the locked versions are chosen for


class SetupError(Exception):
    """The environment cannot be made ready; the message says what is missing and what mends it."""


def ensure_venv(extras: Collection[str] = ()) -> Path:
    """The Python of an environment with the project and `extras` installed; makes it ready when it is not.

    Processes that do this at the same time wait for each other. Raises SetupError.
    """
    with FileLock(ROOT / ".venv.lock", lambda: say("Another run is setting up .venv; waiting for it ...")):
        python = venv_python(VENV)
        runs = _runs(python)
        installed = _read_stamp() if runs else {}
        # What was installed before stays, so that the two scripts do not undo each other's work.
        everything = sorted({*extras, *installed.get("extras", ())})
        pins = [locked(extra).read_bytes() for extra in ("", *everything)]
        wanted = wanted_stamp((ROOT / "pyproject.toml").read_bytes(), pins)
        trouble = damage(python) if satisfied(installed, wanted, extras) else ""
        if satisfied(installed, wanted, extras) and not trouble:
            return python
        if trouble:
            say(f"{VENV} is damaged: {trouble}.")
        if trouble or not runs:
            _create()
        _stamp_file().unlink(missing_ok=True)
        _install(python, everything)
        if trouble := damage(python):
            raise SetupError(
                f"{VENV} is still damaged: {trouble}.\nDelete that folder and run this command again."
            )
        _stamp_file().write_text(json.dumps({**wanted, "extras": everything}), encoding="utf-8")
        return python


def locked(extra: str = "") -> Path:
    """The file with the pinned versions and hashes of an extra; without one, of what the site needs."""
    return REQUIREMENTS / f"{extra or 'site'}.txt"


def venv_python(venv: Path, os_name: str = os.name) -> Path:
    """Where an environment keeps its Python: `Scripts` on Windows, `bin` elsewhere."""
    return venv / "Scripts" / "python.exe" if os_name == "nt" else venv / "bin" / "python"


def wanted_stamp(pyproject: bytes, pins: Sequence[bytes], version: str = sys.version) -> dict[str, str]:
    """What an installation depends on: this Python, the pinned versions, and what pyproject.toml installs.

    Settings of tools in pyproject.toml do not count, so that changing one needs no network.
    """
    tables = tomllib.loads(pyproject.decode("utf-8"))
    installs = {name: tables.get(name) for name in ("build-system", "project")}
    installs["packages"] = tables.get("tool", {}).get("setuptools")
    dependencies = json.dumps(installs, sort_keys=True).encode()
    return {
        "python": version,
        "dependencies": hashlib.sha256(dependencies).hexdigest(),
        "pins": hashlib.sha256(b"\0".join(pins)).hexdigest(),
    }


def satisfied(installed: Mapping[str, Any], wanted: Mapping[str, str], extras: Collection[str]) -> bool:
    """Whether what is installed is what is wanted, with at least these extras."""
    same = all(installed.get(key) == value for key, value in wanted.items())
    return same and set(extras) <= set(installed.get("extras", ()))


def missing_modules() -> list[str]:
    """Standard modules that an environment needs and that some systems ship apart from Python."""
    return [name for name in ("venv", "ensurepip") if importlib.util.find_spec(name) is None]


def explain_missing(modules: Collection[str], version: tuple[int, int] = sys.version_info[:2]) -> str:
    """What to do about a Python that came without venv or ensurepip."""
    return (
        f"This Python came without {' and '.join(modules)}, which makes virtual environments.\n"
        f"On Debian or Ubuntu: sudo apt-get install python{version[0]}.{version[1]}-venv\n"
        "Elsewhere: install Python from your system's packages or from python.org with all its parts.\n"
        "Then run this command again."
    )


_PIP_SPEAKS = "pip could not install the dependencies; its own words are above."
_NO_NETWORK = re.compile(
    "NewConnectionError|ConnectTimeout|ReadTimeout|ProxyError|Name or service not known|getaddrinfo failed"
    "|name resolution|Network is unreachable|Failed to establish a new connection|Connection refused",
    re.IGNORECASE,
)


def explain_pip(output: str) -> str:
    """What to do about a pip that failed, from what it printed."""
    if _NO_NETWORK.search(output):
        return (
            "The packages could not be fetched: no network, or it needs a proxy (set HTTPS_PROXY).\n"
            "This is needed once, and again when the dependencies change. Then run this command again."
        )
    if "No space left on device" in output:
        return "The disk is full. Free some space and run this command again."
    return _PIP_SPEAKS


def finish(main: Callable[[], int]) -> NoReturn:
    """Run a script's `main` and leave with its exit code. Trouble with the setup is a message, no trace."""
    try:
        sys.exit(main())
    except SetupError as error:
        sys.exit(str(error))
    except KeyboardInterrupt:
        sys.exit("\nStopped.")


def say(text: str) -> None:
    """Print at once, also into a pipe, so that our lines and those of the programs we run stay in order."""
    print(text, flush=True)


def _runs(python: Path) -> bool:
    """Whether the environment's Python starts and is this version (its base may have been removed)."""
    probe = "import sys, pip; print(sys.version)"
    return _ask(python, probe) == sys.version.strip()


# Runs in the environment: prints the first file of an installed package that is gone or was cut short.
_LOOK = """
import csv, os, sysconfig
from pathlib import Path
home = Path(sysconfig.get_path("purelib"))
for record in sorted(home.glob("*.dist-info/RECORD")):
    with record.open(encoding="utf-8", newline="") as lines:
        for name, _, size in csv.reader(lines):
            if not size or name.startswith("..") or name.endswith(".pyc"):
                continue
            try:
                found = os.stat(home / name).st_size
            except OSError:
                found = -1
            if found != int(size):
                raise SystemExit(print(f"{name} is {'gone' if found < 0 else 'not as it was installed'}"))
print("whole")
"""


def damage(python: Path) -> str:
    """What is wrong with the installed packages, or nothing: files that are gone or have another size."""
    answer = _ask(python, _LOOK)
    return "" if answer == "whole" else answer or "its packages cannot be read"


def _ask(python: Path, program: str) -> str:
    """What a short program prints in the environment; nothing when it fails or the Python does not start."""
    try:
        result = subprocess.run(
            [str(python), "-I", "-c", program], capture_output=True, text=True, check=False, timeout=60
        )
    except (OSError, subprocess.TimeoutExpired):
        return ""
    return result.stdout.strip() if result.returncode == 0 else ""


def _create() -> None:
    if missing := missing_modules():
        raise SetupError(explain_missing(missing))
    say(f"Making a virtual environment in {VENV} ...")
    command = [sys.executable, "-m", "venv", "--clear", str(VENV)]
    result = subprocess.run(command, capture_output=True, text=True, check=False)
    if result.returncode:
        raise SetupError(
            f"{result.stdout}{result.stderr}\nThe virtual environment could not be made.\n"
            f"Delete {VENV}, if it is there, and run this command again."
        )


def _install(python: Path, extras: Collection[str]) -> None:
    """Install the locked packages, each checked against its hash, then the project itself in place."""
    say("Installing the dependencies; this needs a network and takes a minute or two ...")
    wanted = [argument for extra in ("", *extras) for argument in ("--requirement", str(locked(extra)))]
    _pip(python, "--require-hashes", *wanted)
    # The backend that builds the project is among the locked packages, so nothing unpinned is fetched for it.
    _pip(python, "--no-deps", "--no-build-isolation", "--editable", str(ROOT))


def _pip(python: Path, *arguments: str) -> None:
    """Run `pip install`; say at once when its index does not answer, show its own words where they help."""
    command = [str(python), "-m", "pip", "install", "--quiet", "--no-input", "--disable-pip-version-check"]
    command += ["--retries", "2", *arguments]
    lines: list[str] = []
    warned = False
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, encoding="utf-8", errors="replace"
    ) as process:
        assert process.stdout is not None
        for line in process.stdout:
            lines.append(line)
            if not warned and _NO_NETWORK.search(line):
                warned = True
                say("The package index does not answer; trying again for a moment ...")
    if process.returncode:
        output = "".join(lines)
        said = explain_pip(output)
        raise SetupError(said if said != _PIP_SPEAKS else f"{output.strip()}\n\n{said}")


def _stamp_file() -> Path:
    return VENV / "benchlore-installed.json"


def _read_stamp() -> dict[str, Any]:
    try:
        stamp = json.loads(_stamp_file().read_text(encoding="utf-8"))
    except (FileNotFoundError, ValueError):
        return {}
    return stamp if isinstance(stamp, dict) else {}
