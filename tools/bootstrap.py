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
from collections.abc import Callable, Collection, Mapping
from pathlib import Path
from typing import Any, NoReturn

from benchlore.filelock import FileLock

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"


class SetupError(Exception):
    """The environment cannot be made ready; the message says what is missing and what mends it."""


def ensure_venv(extras: Collection[str] = ()) -> Path:
    """The Python of an environment with the project and `extras` installed; makes it ready when it is not.

    Processes that do this at the same time wait for each other. Raises SetupError.
    """
    with FileLock(ROOT / ".venv.lock", lambda: say("Another run is setting up .venv; waiting for it ...")):
        python = venv_python(VENV)
        if not _runs(python):
            _create()
        wanted = wanted_stamp((ROOT / "pyproject.toml").read_bytes(), (ROOT / "constraints.txt").read_bytes())
        installed = _read_stamp()
        if not satisfied(installed, wanted, extras):
            # What was installed before stays, so that the two scripts do not undo each other's work.
            everything = sorted({*extras, *installed.get("extras", ())})
            _stamp_file().unlink(missing_ok=True)
            _install(python, everything)
            _stamp_file().write_text(json.dumps({**wanted, "extras": everything}), encoding="utf-8")
        return python


def venv_python(venv: Path, os_name: str = os.name) -> Path:
    """Where an environment keeps its Python: `Scripts` on Windows, `bin` elsewhere."""
    return venv / "Scripts" / "python.exe" if os_name == "nt" else venv / "bin" / "python"


def wanted_stamp(pyproject: bytes, constraints: bytes, version: str = sys.version) -> dict[str, str]:
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
        "constraints": hashlib.sha256(constraints).hexdigest(),
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
    return "pip could not install the dependencies; its own words are above."


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
    if not python.exists():
        return False
    probe = [str(python), "-c", "import sys, pip; print(sys.version)"]
    result = subprocess.run(probe, capture_output=True, text=True, check=False)
    return result.returncode == 0 and result.stdout.strip() == sys.version.strip()


def _create() -> None:
    if missing := missing_modules():
        raise SetupError(explain_missing(missing))
    say(f"Making a virtual environment in {VENV} ...")
    command = [sys.executable, "-m", "venv", "--clear", str(VENV)]
    result = subprocess.run(command, capture_output=True, text=True, check=False)
    if result.returncode:
        raise SetupError(f"{result.stdout}{result.stderr}\nThe virtual environment could not be made.")


def _install(python: Path, extras: Collection[str]) -> None:
    say("Installing the dependencies (the first time takes a minute or two) ...")
    project = f"{ROOT}[{','.join(extras)}]" if extras else str(ROOT)
    command = [str(python), "-m", "pip", "install", "--quiet", "--no-input", "--disable-pip-version-check"]
    command += ["--constraint", str(ROOT / "constraints.txt"), "--editable", project]
    result = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=False)
    if result.returncode:
        raise SetupError(f"{result.stdout.strip()}\n\n{explain_pip(result.stdout)}")


def _stamp_file() -> Path:
    return VENV / "benchlore-installed.json"


def _read_stamp() -> dict[str, Any]:
    try:
        stamp = json.loads(_stamp_file().read_text(encoding="utf-8"))
    except (FileNotFoundError, ValueError):
        return {}
    return stamp if isinstance(stamp, dict) else {}
