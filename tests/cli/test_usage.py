"""Usage errors are plain, and every command and option is documented where people look for it."""

import argparse
import subprocess
import sys
from pathlib import Path

import pytest

from benchlore.circuit.calculators import CALCULATORS
from benchlore.cli import main, parser

ROOT = Path(__file__).parents[2]
DOCUMENTS = (ROOT / "README.md", ROOT / "DEVELOPERS.md", ROOT / "faults" / "README.md")


def commands() -> dict[str, argparse.ArgumentParser]:
    action = next(a for a in parser()._actions if isinstance(a, argparse._SubParsersAction))
    return dict(action.choices)


@pytest.mark.parametrize(
    "arguments", [[], ["chek"], ["check", "--form", "json"], ["check", "--format", "xml"]]
)
def test_usage_error_ends_with_two(arguments, capsys):
    with pytest.raises(SystemExit) as stop:
        main(arguments)
    assert stop.value.code == 2
    assert "usage: benchlore" in capsys.readouterr().err


@pytest.mark.parametrize("name", sorted(commands()))
def test_command_helps(name, capsys):
    with pytest.raises(SystemExit) as stop:
        main([name, "--help"])
    assert stop.value.code == 0
    assert f"usage: benchlore {name}" in capsys.readouterr().out


def test_a_command_loads_no_other():
    code = "import sys; from benchlore.cli import main; main(); print(*sys.modules)"
    run = [sys.executable, "-c", code, "rules", "tab-in-indent"]
    done = subprocess.run(run, capture_output=True, text=True, check=True)
    loaded = {name for name in done.stdout.split() if name.startswith("benchlore.commands.")}
    assert loaded == {"benchlore.commands.rules", "benchlore.commands.options"}


def test_package_runs_as_a_module():
    done = subprocess.run(
        [sys.executable, "-m", "benchlore", "rules", "tab-in-indent"], capture_output=True, text=True
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("tab-in-indent (error")


def test_reader_of_the_output_may_leave():
    run = [sys.executable, "-m", "benchlore", "rules"]
    with subprocess.Popen(run, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.readline()
        process.stdout.close()
        assert "Traceback" not in process.stderr.read()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a full disk to write to is a thing of Linux")
def test_full_disk_is_said_in_one_line():
    run = [sys.executable, "-m", "benchlore", "rules"]
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(run, stdout=full, stderr=subprocess.PIPE, text=True)
    assert done.returncode == 2
    assert done.stderr == "benchlore: the output cannot be written: No space left on device\n"


@pytest.mark.skipif(sys.platform == "win32", reason="Windows deletes no folder that somebody is in")
@pytest.mark.parametrize("root", [[], ["--root", str(ROOT)], ["--root", ".."]])
def test_deleted_working_folder_is_said_in_one_line(root, tmp_path, monkeypatch, capsys):
    gone = tmp_path / "gone"
    gone.mkdir()
    monkeypatch.chdir(gone)
    gone.rmdir()
    try:
        assert main(["export", *root, "-o", "x.json"]) == 2
    finally:
        monkeypatch.undo()
    assert capsys.readouterr().err.startswith("benchlore: ")


def test_ctrl_c_ends_a_command_without_a_traceback(monkeypatch, capsys):
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("benchlore.commands.check.check_book", stop)
    assert main(["check", "--root", str(ROOT)]) == 130
    assert capsys.readouterr().err == "benchlore: stopped\n"


@pytest.mark.parametrize("name", sorted(set(commands()) - set(CALCULATORS)))
def test_command_and_its_options_are_documented(name):
    text = "\n".join(path.read_text(encoding="utf-8") for path in DOCUMENTS if path.exists())
    assert f"benchlore {name}" in text
    missing = [
        option
        for action in commands()[name]._actions
        for option in action.option_strings
        if option.startswith("--") and option != "--help" and option not in text
    ]
    assert missing == []


@pytest.mark.parametrize("kind", sorted(CALCULATORS))
def test_a_calculator_is_documented_by_what_it_declares(kind, capsys):
    """The README leads to the help, and the help says what each field is and shows an example."""
    assert "benchlore CALCULATOR --help" in (ROOT / "README.md").read_text(encoding="utf-8")
    with pytest.raises(SystemExit):
        main([kind, "--help"])
    said = " ".join(capsys.readouterr().out.split())
    for field in CALCULATORS[kind].fields:
        assert field.label in said
        assert f"such as '{field.example}'" in said
