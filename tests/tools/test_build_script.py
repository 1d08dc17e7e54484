"""tools/build.py: check, build, say how to open the site, serve it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import build


@pytest.fixture
def commands(monkeypatch):
    """The programs that were run, as their arguments; `codes` are the exit codes they end with."""
    ran: list[list[str]] = []
    codes: list[int] = []

    def run(command: list[str], **kwargs: object) -> subprocess.CompletedProcess[str]:
        ran.append(command[3:])
        return subprocess.CompletedProcess(command, codes.pop(0) if codes else 0)

    monkeypatch.setattr(subprocess, "run", run)
    return ran, codes


def test_the_book_is_checked_and_then_built(commands):
    ran, _ = commands
    assert build.build(Path("python"), strict=False) == 0
    assert [command[0] for command in ran] == ["check", "build"]
    assert "--strict" not in ran[0]


def test_a_book_with_errors_is_not_built(commands, capsys):
    ran, codes = commands
    codes.append(1)
    assert build.build(Path("python"), strict=True) == 1
    assert [command[0] for command in ran] == ["check"]
    assert "--strict" in ran[0]
    assert "last good one stays" in capsys.readouterr().out


def test_serving_checks_and_builds_by_itself(commands, monkeypatch):
    ran, codes = commands
    codes += [4]
    monkeypatch.setattr(build, "ensure_venv", lambda: Path("python"))
    monkeypatch.setattr(sys, "argv", ["build.py", "--serve", "--strict", "--port=8123"])
    assert build.main() == 4
    (command,) = ran
    assert command[:2] == ["build", "--serve"]
    assert command[-3:] == ["--strict", "--port", "8123"]


def test_how_to_open_names_path_and_address(tmp_path):
    said = build.how_to_open(tmp_path / "my site")
    assert f"  {tmp_path}/my site/index.html\n" in said
    assert said.endswith(f"  file://{tmp_path}/my%20site/index.html")


@pytest.mark.parametrize("port", ["0", "65536", "-1", "http", "8e3"])
def test_a_wrong_port_is_refused(port, capsys):
    with pytest.raises(SystemExit):
        build.parse(["--serve", f"--port={port}"])
    assert f"{port} is not a port" in capsys.readouterr().err
