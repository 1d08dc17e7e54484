"""The scripts' type check."""

from __future__ import annotations

import sys
from pathlib import Path

import javascript


def test_without_scripts_there_is_nothing_to_check(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(javascript, "SCRIPTS", tmp_path / "js")
    assert javascript.check(Path(sys.executable)) == 0
    assert "no scripts yet" in capsys.readouterr().out


def test_the_compiler_is_fetched_when_it_is_another_version(tmp_path, monkeypatch):
    scripts = tmp_path / "js"
    scripts.mkdir()
    (scripts / "x.js").write_text("")
    package = tmp_path / "node_modules" / "typescript"
    fetched = []

    def fetch(python: Path) -> int:
        fetched.append(python)
        return 7

    monkeypatch.setattr(javascript, "SCRIPTS", scripts)
    monkeypatch.setattr(javascript, "_NODE", tmp_path)
    monkeypatch.setattr(javascript, "_fetch", fetch)
    assert javascript.installed_version(package) is None
    assert javascript.check(Path("python")) == 7
    package.mkdir(parents=True)
    (package / "package.json").write_text('{"version": "1.0.0"}')
    assert javascript.installed_version(package) == "1.0.0"
    assert javascript.check(Path("python")) == 7
    assert fetched == [Path("python")] * 2
