"""Feed nonsense that learns: `python3 tools/fuzz.py [--minutes 5] [TARGET ...]`.

A coverage-guided fuzzer changes the inputs of `tests/fuzz/corpus/` and keeps those that reach new code in
`.cache/fuzz/`: atheris for what Python reads, our own for what the page's scripts read (job files, progress
files, addresses). It stops at the first input that raises, hangs or breaks a promise of its target.
"""

# An old Python parses the whole file before it gets to the message: no syntax newer than 3.6 in here.
import sys

if sys.version_info < (3, 11):
    sys.exit(f"Benchlore needs Python 3.11 or newer; this is Python {sys.version.split()[0]}.")

import argparse
import os
import subprocess
from pathlib import Path

from bootstrap import ROOT, ensure_venv, finish, say

FUZZ = ROOT / "tests" / "fuzz"
CORPUS = FUZZ / "corpus"
FOUND = ROOT / ".cache" / "fuzz"
PYTHON_TARGETS = ("text", "record", "quantity")
# Read by the page's own scripts, in Node.
PAGE_TARGETS = ("address", "job", "progress")
TARGETS = (*PYTHON_TARGETS, *PAGE_TARGETS)
LONGEST = 4096  # bytes of one input
PATIENCE = 10  # seconds for one input


def main() -> int:
    """Run each target for its share of the time; 1 when one of them found something."""
    options = parse(sys.argv[1:])
    if unknown := set(options.targets) - set(TARGETS):
        say(f"No target {', '.join(sorted(unknown))}; there are {', '.join(TARGETS)}.")
        return 2
    python = ensure_venv(("fuzz", "test"))  # Node comes with the tests
    targets = options.targets or list(TARGETS)
    seconds = max(1, round(options.minutes * 60 / len(targets)))
    failed = []
    for target in targets:
        say(f"\n== {target}, {seconds} s")
        (FOUND / target).mkdir(parents=True, exist_ok=True)
        command = fuzzing(python, target, seconds)
        environment = {**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), str(ROOT / "tools")])}
        if subprocess.run(command, cwd=ROOT, env=environment, check=False).returncode:
            failed.append(target)
    say(f"\nFound something: {', '.join(failed)}." if failed else "\nNothing was found.")
    return 1 if failed else 0


def fuzzing(python: Path, target: str, seconds: int) -> list[str]:
    """The command that fuzzes one target for so long."""
    folders = [str(FOUND / target), str(CORPUS / target)]
    if target in PAGE_TARGETS:
        return [str(python), str(FUZZ / "page.py"), target, str(seconds), *folders]
    limits = [f"-max_total_time={seconds}", f"-max_len={LONGEST}", f"-timeout={PATIENCE}"]
    shown = ["-print_final_stats=1", "-verbosity=0", f"-artifact_prefix={FOUND / target}-"]
    return [str(python), str(FUZZ / "harness.py"), target, *folders, *limits, *shown]


def parse(arguments: list[str]) -> argparse.Namespace:
    """The command line's options."""
    parser = argparse.ArgumentParser(prog="fuzz.py", description="Fuzz what reads input.")
    parser.add_argument("--minutes", type=float, default=5.0, help="for all targets together (default: 5)")
    parser.add_argument(
        "targets", metavar="TARGET", nargs="*", choices=[[], *TARGETS], help=", ".join(TARGETS)
    )
    return parser.parse_args(arguments)


if __name__ == "__main__":
    finish(main)
