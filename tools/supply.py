"""What is installed, and where it comes from: `python3 tools/supply.py lock | bill | advisories`.

lock        choose versions anew and write their hashes to `tools/requirements/`; `--upgrade` takes newer ones
bill        write the bill of materials of the site's packages to `build/bom.json` (CycloneDX)
advisories  ask the package index for published advisories about the locked versions; needs a network
"""

# An old Python parses the whole file before it gets to the message: no syntax newer than 3.6 in here.
import sys

if sys.version_info < (3, 11):
    sys.exit(f"Benchlore needs Python 3.11 or newer; this is Python {sys.version.split()[0]}.")

import argparse
import subprocess
import tempfile
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from bootstrap import EXTRAS, OLDEST, REQUIREMENTS, ROOT, ensure_venv, finish, locked, say

BILL = ROOT / "build" / "bom.json"


def main() -> int:
    """Run the command; the result is its exit code."""
    options = parse(sys.argv[1:])
    python = ensure_venv(("release",))
    if options.command == "lock":
        return lock(python, options.upgrade)
    return bill(python) if options.command == "bill" else advisories(python)


def parse(arguments: list[str]) -> argparse.Namespace:
    """The command line's options."""
    parser = argparse.ArgumentParser(prog="supply.py", description="Versions, hashes, bill of materials.")
    parser.add_argument("command", choices=("lock", "bill", "advisories"))
    parser.add_argument("--upgrade", action="store_true", help="lock: take the newest versions that fit")
    return parser.parse_args(arguments)


def lock(python: Path, upgrade: bool) -> int:
    """Write one file of pinned versions with hashes for the site and for each extra; an exit code.

    The files agree with each other: what an earlier one chose binds the later ones.
    """
    tables = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    REQUIREMENTS.mkdir(exist_ok=True)
    done: list[Path] = []
    with tempfile.TemporaryDirectory() as folder:
        wanted = Path(folder) / "wanted.in"
        for name in ("", *EXTRAS):
            wanted.write_text("\n".join(requirements(tables, name)), encoding="utf-8")
            code = subprocess.run(
                compile_command(python, wanted, locked(name), done, upgrade), cwd=ROOT, check=False
            ).returncode
            if code:
                say(f"{locked(name).name} stays as it was; the words of the resolver are above.")
                return code
            done.append(locked(name))
    return 0


def requirements(tables: Mapping[str, Any], extra: str) -> list[str]:
    """What pyproject.toml asks for: the project's own needs and those of its build, or those of an extra."""
    project = tables["project"]
    if extra:
        return list(project["optional-dependencies"][extra])
    return [*project["dependencies"], *tables["build-system"]["requires"]]


def compile_command(
    python: Path, wanted: Path, target: Path, agreed: Sequence[Path], upgrade: bool
) -> list[str]:
    """The resolver's command: for every system, for Python from the oldest on, no index named in the file."""
    command = [
        str(python),
        "-m",
        "uv",
        "pip",
        "compile",
        str(wanted),
        "--output-file",
        str(target),
        "--quiet",
    ]
    command += ["--universal", "--python-version", OLDEST, "--generate-hashes", "--no-annotate"]
    command += [
        "--no-emit-index-url",
        "--no-emit-find-links",
        "--custom-compile-command",
        "tools/supply.py lock",
    ]
    for other in agreed:
        command += ["--constraint", str(other)]
    return [*command, "--upgrade"] if upgrade else command


def bill(python: Path) -> int:
    """Write the bill of materials of what the site needs; an exit code."""
    BILL.parent.mkdir(exist_ok=True)
    command = [str(python), "-m", "cyclonedx_py", "requirements", str(locked("")), "--pyproject"]
    command += [str(ROOT / "pyproject.toml"), "--output-reproducible", "--output-file", str(BILL)]
    code = subprocess.run(command, cwd=ROOT, check=False).returncode
    if not code:
        say(f"The bill of materials: {BILL}")
    return code


def advisories(python: Path) -> int:
    """Look for published advisories about the locked versions; an exit code.

    1 where there are some, and also where the index has no answer for a package (`--strict`).
    """
    command = [str(python), "-m", "pip_audit", "--require-hashes", "--disable-pip", "--strict"]
    for name in ("", *EXTRAS):
        command += ["--requirement", str(locked(name))]
    return subprocess.run(command, cwd=ROOT, check=False).returncode


if __name__ == "__main__":
    finish(main)
