"""Build the site: `python3 tools/build.py [--serve]`. Needs nothing but Python 3.11 or newer.

Makes `.venv` when needed, checks the book, builds `site/` and says how to open it.
"""

# An old Python parses the whole file before it gets to the message: no syntax newer than 3.6 in here.
import sys

if sys.version_info < (3, 11):
    sys.exit(f"Benchlore needs Python 3.11 or newer; this is Python {sys.version.split()[0]}.")

import argparse
import subprocess
from pathlib import Path

from bootstrap import ROOT, ensure_venv, finish, say

SITE = ROOT / "site"


def main() -> int:
    """Run the command; the result is its exit code."""
    options = parse(sys.argv[1:])
    python = ensure_venv()
    if options.serve:
        return serve(python, options.strict, options.port)
    code = build(python, options.strict)
    if not code:
        say(how_to_open(SITE))
    return code


def parse(arguments: list[str]) -> argparse.Namespace:
    """The command line's options."""
    parser = argparse.ArgumentParser(prog="build.py", description="Check the book and build the site.")
    parser.add_argument(
        "--serve",
        action="store_true",
        help="serve the site to this computer, and build it anew after each save",
    )
    parser.add_argument(
        "--port",
        type=port_number,
        help="port to serve on (default: 8000, or a free one when that is taken)",
    )
    parser.add_argument("--strict", action="store_true", help="warnings stop the build, as errors do")
    return parser.parse_args(arguments)


def port_number(text: str) -> int:
    """A port to listen on, from the command line."""
    if not text.isdecimal() or not 0 < int(text) < 65536:
        raise argparse.ArgumentTypeError(f"{text} is not a port; ports are 1 to 65535")
    return int(text)


def build(python: Path, strict: bool) -> int:
    """Check the book, and publish the site when it has no errors; an exit code."""
    benchlore = [str(python), "-m", "benchlore"]
    check = [*benchlore, "check", "--root", str(ROOT)] + (["--strict"] if strict else [])
    code = subprocess.run(check, cwd=ROOT, check=False).returncode
    if code:
        say("The site was not built; the last good one stays as it is.")
        return code
    publish = [*benchlore, "build", "--root", str(ROOT), "--site-dir", str(SITE)]
    return subprocess.run(publish, cwd=ROOT, check=False).returncode


def how_to_open(site: Path) -> str:
    """Where the built site is, for a file manager and for a browser."""
    home = site / "index.html"
    return f"The site is built. Open it from disk, no network needed:\n  {home}\n  {home.as_uri()}"


def serve(python: Path, strict: bool, port: int | None) -> int:
    """Serve the site until interrupted, built anew after each save; an exit code."""
    command = [
        str(python),
        "-m",
        "benchlore",
        "build",
        "--serve",
        "--root",
        str(ROOT),
        "--site-dir",
        str(SITE),
    ]
    command += ["--strict"] if strict else []
    command += ["--port", str(port)] if port is not None else []
    return subprocess.run(command, cwd=ROOT, check=False).returncode


if __name__ == "__main__":
    finish(main)
