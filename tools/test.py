"""Run every check and test: `python3 tools/test.py [--fast] [--no-browser] [--whole] [pytest arguments ...]`.

Needs nothing but Python 3.11 or newer: makes `.venv` when needed and sees to the browsers. Every step
runs, whether or not one before it failed; the last line is the one that pytest closes with. `--fast` aims at
a minute: the quick tests nearest to what changed (near.py); with arguments all quick tests of these. It takes
longer where the checks do, where changed tests do, which always run, and where git cannot tell what changed:
then all quick tests run.
"""

# An old Python parses the whole file before it gets to the message: no syntax newer than 3.6 in here.
import sys

if sys.version_info < (3, 11):
    sys.exit(f"Benchlore needs Python 3.11 or newer; this is Python {sys.version.split()[0]}.")

import argparse
import os
import subprocess
import time
from collections.abc import Callable, Collection
from pathlib import Path

import browsers
import javascript
import near
from bootstrap import ROOT, ensure_venv, finish, say

MINUTE = 60.0  # seconds that a run with --fast aims at,
START = 12.0  # of these for Python, the workers and their end
LEAST = 15.0  # what its tests have at least, however long the checks took
ALL_QUICK = "tools/test.py --fast tests"
NO_TESTS = 5  # exit code of pytest
MISSED = "Did not run, "  # so begins a line of tests/conftest.py


def main() -> int:
    """Run the command; the result is its exit code."""
    began = time.monotonic()
    options, wanted = parse(sys.argv[1:])
    python = ensure_venv(("oracle", "test"))
    nearest = options.fast and not wanted
    changed = near.changed(ROOT) if nearest else None
    failed = [name for name, check in checks(python, changed) if not passes(name, check)]
    trouble = "" if options.fast else javascript.ensure_checker(python)
    if trouble:
        say(f"\n{trouble}")
    cores = workers(options, os.cpu_count() or 1)
    choice = None
    if changed is not None:
        left = max(MINUTE - START - (time.monotonic() - began), LEAST)
        choice = near.choose(ROOT, changed, left, cores)
        wanted = list(choice.files)
    if options.fast:
        wanted = ["-m", "not slow", *wanted]
    if options.fast or options.no_browser:
        wanted = ["--no-browser", *wanted]
    else:
        see_to_browsers(python)
    if options.whole:
        wanted = ["--whole", *wanted]

    say("\n== tests")
    if choice is None or choice.files:
        code, missed, close = run_tests([str(python), "-m", "pytest", *parallel(wanted, cores), *wanted])
    else:
        code, missed, close = 0, [], "No quick test reaches what changed."
    if code == NO_TESTS and choice:  # the files have slow ones alone
        code = 0
    if code:
        failed.append("tests")
    if options.whole and missed:
        failed.append("parts that did not run")
    lines = left_out(options, choice, changed, nearest) + missed
    say("\n" + "\n".join([*lines, f"Failed: {', '.join(failed)}." if failed else "All steps passed."]))
    say(close)
    return 1 if failed else 0


def parse(arguments: list[str]) -> tuple[argparse.Namespace, list[str]]:
    """What to run, and the arguments meant for pytest."""
    parser = argparse.ArgumentParser(
        prog="test.py",
        usage="test.py [-h] [--fast] [--no-browser] [--whole] [pytest arguments ...]",
        description="Run the linter, the type checks and the tests. Unknown arguments go to pytest.",
        allow_abbrev=False,
    )
    parser.add_argument(
        "--fast",
        action="store_true",
        help="run what about a minute holds of the quick tests, nearest to what changed first",
    )
    parser.add_argument("--no-browser", action="store_true", help="leave out the tests that need a browser")
    parser.add_argument(
        "--whole",
        action="store_true",
        help="play all random walks, and fail where a test lacks its library, simulator or browser",
    )
    return parser.parse_known_args(arguments)


def checks(python: Path, changed: Collection[str] | None = None) -> list[tuple[str, Callable[[], int]]]:
    """The steps before the tests, each by name, as far as due for `changed`; a step returns an exit code."""
    steps = [
        ("lint", lambda: run([str(python), "-m", "ruff", "check"])),
        ("format", lambda: run([str(python), "-m", "ruff", "format", "--check"])),
        ("types", lambda: run([str(python), "-m", "mypy"])),
    ]
    if changed is None or near.touches_scripts(changed):
        steps.append(("script types", lambda: javascript.check(python)))
        steps.append(("script lint and format", lambda: javascript.lint(python)))
    if changed is not None and any(name.startswith("faults/") for name in changed):
        steps.append(("book", lambda: run([str(python), "-m", "benchlore", "check"])))
    return steps


def passes(name: str, check: Callable[[], int]) -> bool:
    """Run one step under its heading; whether it passed."""
    say(f"\n== {name}")
    return check() == 0


def see_to_browsers(python: Path) -> None:
    """Install the browsers that are not here; say which are missing all the same."""
    say("\n== browsers")
    for name in ("chromium", "firefox"):
        trouble = browsers.ensure(name, python)
        say(trouble if trouble else f"{name}: {browsers.find(name) or 'of Playwright'}")


def workers(options: argparse.Namespace, cores: int) -> int:
    """How many tests at once: one more than cores, since a test in a browser waits half of its time."""
    return cores if options.fast or options.no_browser else cores + 1


def parallel(wanted: list[str], workers: int) -> list[str]:
    """pytest's options to run so many tests at once, unless the caller decides or looks at one closely."""
    mine = ("-n", "--numprocesses", "--pdb", "--collect-only", "--co", "--trace")
    if any(argument.split("=")[0] in mine or argument.startswith("-n") for argument in wanted):
        return []
    return ["-n", str(workers), "--dist", "worksteal"]


def run(command: list[str]) -> int:
    """Run a program in the project's folder, its output shown; its exit code."""
    return subprocess.run(command, cwd=ROOT, check=False).returncode


def run_tests(command: list[str]) -> tuple[int, list[str], str]:
    """Run pytest, showing all but its close; the exit code, what did not run, the closing line."""
    if sys.stdout.isatty():
        command = [*command, "--color=yes"]
    missed, held = [], ""
    # Compiled code is kept: the tests start hundreds of Pythons, which would each compile everything.
    environment = {key: text for key, text in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    with subprocess.Popen(
        command, cwd=ROOT, env=environment, stdout=subprocess.PIPE, encoding="utf-8", errors="replace"
    ) as process:
        assert process.stdout is not None
        for line in process.stdout:
            if held.startswith(MISSED):
                missed.append(held)
            elif held:
                say(held)
            held = line.rstrip("\n")
    return process.returncode, missed, held


def left_out(
    options: argparse.Namespace, choice: near.Choice | None, changed: Collection[str] | None, nearest: bool
) -> list[str]:
    """What did not run because of the options; `nearest`: the tests nearest to the change were asked for."""
    if not options.fast:
        return ["The browser tests were left out, as --no-browser asks."] if options.no_browser else []
    lines = ["The browser tests and the slow ones were left out, as --fast asks."]
    if nearest and changed is None:
        lines.append("Git could not tell what changed, so all quick tests ran, however long they take.")
    if choice is not None and changed is not None:
        lines.append(
            f"Files of quick tests: {len(choice.files)} ran, nearest to the change (files: {len(changed)}); "
            f"left out: {choice.farther} that a change reaches, {choice.others} that none does "
            f"({ALL_QUICK} runs all)."
        )
        if not near.touches_scripts(changed):
            lines.append("The checks of scripts and stylesheets were left out: none changed.")
    return lines


if __name__ == "__main__":
    finish(main)
