"""tools/test.py: every step runs, the exit code tells, and pytest's closing line comes last."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize(
    ("arguments", "chosen", "rest"),
    [
        ([], [], []),
        (["--no-browser", "tests/book", "-k", "x"], ["no_browser"], ["tests/book", "-k", "x"]),
        (["--fast", "-x", "--lf"], ["fast"], ["-x", "--lf"]),
        (["--whole"], ["whole"], []),
    ],
)
def test_what_is_not_ours_goes_to_pytest(test_script, arguments, chosen, rest):
    options, wanted = test_script.parse(arguments)
    assert [name for name, value in sorted(vars(options).items()) if value] == chosen
    assert wanted == rest


@pytest.mark.parametrize("wanted", [["-n", "1"], ["-n0"], ["--numprocesses=3"], ["--pdb"], ["--co"]])
def test_the_caller_may_decide_on_cores(test_script, wanted):
    assert test_script.parallel(wanted, 2) == []


def test_all_cores_otherwise(test_script):
    assert test_script.parallel(["tests/book", "-k", "n"], 2)[:2] == ["-n", "2"]


@pytest.mark.parametrize(("given", "at_once"), [([], 3), (["--fast"], 2), (["--no-browser"], 2)])
def test_with_browsers_one_test_more_than_cores(test_script, given, at_once):
    assert test_script.workers(test_script.parse(given)[0], 2) == at_once


def test_the_closing_lines_are_held_back(test_script, capfd):
    missed, close = "Did not run, 2 tests: x is not installed", "== 2 failed in 1s =="
    program = f"print('dots'); print({missed!r}); print({close!r}); raise SystemExit(1)"
    assert test_script.run_tests([sys.executable, "-c", program]) == (1, [missed], close)
    assert capfd.readouterr().out == "dots\n"


@pytest.fixture
def steps(test_script, monkeypatch):
    """The script with stand-ins: `broken` names the steps that fail; `ran` lists what ran."""

    class Steps:
        def __init__(self) -> None:
            self.broken: set[str] = set()
            self.missed: list[str] = []
            self.ran: list[str] = []
            self.pytest_code = 0
            self.changed: list[str] | None = None
            self.choice = None
            self.asked: list[str] = []

        def main(self, *arguments: str) -> int:
            self.ran = []
            monkeypatch.setattr(sys, "argv", ["test.py", *arguments])
            code: int = test_script.main()
            return code

    steps = Steps()

    def run_tests(command: list[str]) -> tuple[int, list[str], str]:
        left_out = " without browsers" if "--no-browser" in command else ""
        steps.asked = command
        steps.ran.append(("quick tests" if "not slow" in command else "tests") + left_out)
        return steps.pytest_code, steps.missed, "=== close ==="

    def step(name: str) -> int:
        steps.ran.append(name)
        return 1 if name in steps.broken else 0

    def checks(python: Path, changed: list[str] | None = None) -> list[object]:
        return [(name, lambda name=name: step(name)) for name in ("lint", "types")]

    monkeypatch.setattr(test_script, "ensure_venv", lambda extras: Path("python"))
    monkeypatch.setattr(test_script, "checks", checks)
    monkeypatch.setattr(test_script.near, "changed", lambda root: steps.changed)
    monkeypatch.setattr(test_script.near, "choose", lambda *asked: steps.choice)
    monkeypatch.setattr(test_script, "see_to_browsers", lambda python: steps.ran.append("browsers"))
    monkeypatch.setattr(test_script, "run_tests", run_tests)
    return steps


def test_all_is_well(steps, capsys):
    assert steps.main() == 0
    assert steps.ran == ["lint", "types", "browsers", "tests"]
    assert capsys.readouterr().out.endswith("All steps passed.\n=== close ===\n")


def test_a_failed_step_stops_nothing_but_fails_the_run(steps, capsys):
    steps.broken = {"lint"}
    assert steps.main() == 1
    assert steps.ran == ["lint", "types", "browsers", "tests"]
    assert capsys.readouterr().out.endswith("Failed: lint.\n=== close ===\n")


def test_failed_tests_fail_the_run(steps, capsys):
    steps.pytest_code = 5
    assert steps.main() == 1
    assert "Failed: tests." in capsys.readouterr().out


def test_a_missing_part_is_said_and_fails_a_whole_run_alone(steps, capsys):
    steps.missed = ["Did not run, 6 tests: ngspice is not installed"]
    assert steps.main() == 0
    closing = "Did not run, 6 tests: ngspice is not installed\nAll steps passed.\n=== close ===\n"
    assert capsys.readouterr().out.endswith(closing)
    assert steps.main("--whole") == 1
    assert "Failed: parts that did not run." in capsys.readouterr().out
    steps.missed = []
    assert steps.main("--whole") == 0


@pytest.mark.parametrize(
    ("option", "ran"),
    [("--no-browser", "tests without browsers"), ("--fast", "quick tests without browsers")],
)
def test_what_is_left_out_is_said_and_no_browser_is_looked_for(steps, capsys, option, ran):
    assert steps.main(option) == 0
    assert steps.ran == ["lint", "types", ran]
    assert f"left out, as {option} asks" in capsys.readouterr().out


def test_fast_asks_the_nearest_tests_and_says_what_is_left_out(test_script, steps, capsys):
    steps.changed = ["tools/near.py", "tools/test.py"]
    steps.choice = test_script.near.Choice(("tests/tools/test_near.py",), 3, 200)
    assert steps.main("--fast") == 0
    assert steps.asked[-1] == "tests/tools/test_near.py"
    said = capsys.readouterr().out
    assert "Files of quick tests: 1 ran, nearest to the change (files: 2)" in said
    assert "left out: 3 that a change reaches, 200 that none does" in said
    assert "The checks of scripts and stylesheets were left out" in said


def test_fast_says_where_git_cannot_tell_what_changed(steps, capsys):
    steps.changed = None
    assert steps.main("--fast") == 0
    assert steps.asked[-2:] == ["-m", "not slow"]
    assert "Git could not tell what changed, so all quick tests ran" in capsys.readouterr().out
    assert steps.main("--fast", "tests/book") == 0
    assert "Git" not in capsys.readouterr().out


def test_fast_with_arguments_asks_all_quick_tests_of_these(test_script, steps, capsys):
    steps.changed = ["tools/near.py"]
    assert steps.main("--fast", "tests/book") == 0
    assert steps.asked[-1] == "tests/book"
    assert "Files of quick tests" not in capsys.readouterr().out


def test_fast_asks_no_test_where_none_reaches_the_change(test_script, steps, capsys):
    steps.changed, steps.choice = ["a.txt"], test_script.near.Choice((), 0, 200)
    assert steps.main("--fast") == 0
    assert "tests" not in steps.ran
    assert capsys.readouterr().out.endswith("No quick test reaches what changed.\n")


def test_only_slow_tests_in_the_nearest_files_are_no_failure(test_script, steps):
    steps.changed, steps.pytest_code = ["tools/near.py"], test_script.NO_TESTS
    steps.choice = test_script.near.Choice(("tests/tools/test_near.py",), 0, 0)
    assert steps.main("--fast") == 0


@pytest.mark.parametrize(
    ("changed", "due"),
    [
        (None, ["lint", "format", "types", "script types", "script lint and format"]),
        (["tools/near.py"], ["lint", "format", "types"]),
        (["a/b.css"], ["lint", "format", "types", "script types", "script lint and format"]),
        (["faults/common/actions.yaml"], ["lint", "format", "types", "book"]),
    ],
)
def test_the_checks_that_a_change_asks_for(test_script, changed, due):
    assert [name for name, _ in test_script.checks(Path("python"), changed)] == due


@pytest.mark.slow
def test_what_lacks_its_part_is_skipped_and_said(test_script):
    """And browser tests are known by their fixtures."""
    files = [f"tests/browser/test_fixtures_{name}.py" for name in ("chromium", "firefox")]
    options = ["-v", "-p", "no:cacheprovider", "--no-browser"]
    command = [sys.executable, "-m", "pytest", *options, *files, "tests/circuit/test_ngspice.py"]
    ran = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, env={**os.environ, "PATH": ""})
    assert "test_leaves" in ran.stdout
    assert "test_page_opens" not in ran.stdout
    assert "test_loopback_is_reached" not in ran.stdout
    assert "deselected" in ran.stdout
    said = [line for line in ran.stdout.splitlines() if line.startswith(test_script.MISSED)]
    assert len(said) == 1
    assert said[0].endswith(" tests: ngspice is not installed")
    assert ran.returncode == 0
