"""tools/test.py: every step runs, the exit code tells, and pytest's closing line comes last."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize(
    ("arguments", "parsed"),
    [
        ([], (False, [])),
        (["--no-browser", "tests/book", "-k", "x"], (True, ["tests/book", "-k", "x"])),
        (["-x", "--lf"], (False, ["-x", "--lf"])),
    ],
)
def test_what_is_not_ours_goes_to_pytest(test_script, arguments, parsed):
    assert test_script.parse(arguments) == parsed


@pytest.mark.parametrize("wanted", [["-n", "1"], ["-n0"], ["--numprocesses=3"], ["--pdb"], ["--co"]])
def test_the_caller_may_decide_on_cores(test_script, wanted):
    assert test_script.parallel(wanted, 2) == []


def test_all_cores_otherwise(test_script):
    assert test_script.parallel(["tests/book", "-k", "n"], 2)[:2] == ["-n", "2"]


def test_the_closing_line_is_held_back(test_script, capfd):
    program = "import sys; print('dots'); print('== 2 failed in 1s =='); sys.exit(1)"
    assert test_script.run_tests([sys.executable, "-c", program]) == (1, "== 2 failed in 1s ==")
    assert capfd.readouterr().out == "dots\n"


@pytest.fixture
def steps(test_script, monkeypatch):
    """The script with stand-ins: `broken` names the steps that fail; `ran` lists what ran."""

    class Steps:
        def __init__(self) -> None:
            self.broken: set[str] = set()
            self.missing: list[str] = []
            self.ran: list[str] = []
            self.pytest_code = 0

        def main(self, *arguments: str) -> int:
            self.ran = []
            monkeypatch.setattr(sys, "argv", ["test.py", *arguments])
            code: int = test_script.main()
            return code

    steps = Steps()

    def run_tests(command: list[str]) -> tuple[int, str]:
        steps.ran.append("tests without browsers" if "--no-browser" in command else "tests")
        return steps.pytest_code, "=== close ==="

    def step(name: str) -> int:
        steps.ran.append(name)
        return 1 if name in steps.broken else 0

    def checks(python: Path) -> list[object]:
        return [(name, lambda name=name: step(name)) for name in ("lint", "types")]

    monkeypatch.setattr(test_script, "ensure_venv", lambda extras: Path("python"))
    monkeypatch.setattr(test_script, "checks", checks)
    monkeypatch.setattr(test_script, "missing_browsers", lambda python: steps.missing)
    monkeypatch.setattr(test_script, "run_tests", run_tests)
    return steps


def test_all_is_well(steps, capsys):
    assert steps.main() == 0
    assert steps.ran == ["lint", "types", "tests"]
    assert capsys.readouterr().out.endswith("All steps passed.\n=== close ===\n")


def test_a_failed_step_stops_nothing_but_fails_the_run(steps, capsys):
    steps.broken = {"lint"}
    assert steps.main() == 1
    assert steps.ran == ["lint", "types", "tests"]
    assert capsys.readouterr().out.endswith("Failed: lint.\n=== close ===\n")


def test_failed_tests_fail_the_run(steps, capsys):
    steps.pytest_code = 5
    assert steps.main() == 1
    assert "Failed: tests." in capsys.readouterr().out


def test_a_missing_browser_is_an_error(steps, capsys):
    steps.missing = ["firefox"]
    assert steps.main() == 1
    assert steps.ran == ["lint", "types", "tests without browsers"]
    said = capsys.readouterr().out
    assert "did not run: no firefox was found" in said
    assert "Failed: browsers." in said


def test_no_browser_needs_none_and_says_so(steps, capsys):
    steps.missing = ["firefox"]
    assert steps.main("--no-browser") == 0
    assert steps.ran == ["lint", "types", "tests without browsers"]
    assert "left out, as --no-browser asks" in capsys.readouterr().out


def test_browser_tests_are_known_by_their_fixtures():
    files = [f"tests/browser/test_fixtures_{name}.py" for name in ("chromium", "firefox")]
    command = [sys.executable, "-m", "pytest", "--collect-only", "-q", "--no-browser", *files]
    listed = subprocess.run(command, cwd=ROOT, capture_output=True, text=True).stdout
    assert "test_leaves" in listed
    assert "test_page_opens" not in listed
    assert "test_loopback_is_reached" not in listed
    assert "deselected" in listed
