"""The checks of the scripts and stylesheets."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import javascript
from bootstrap import ROOT


def test_without_scripts_there_is_nothing_to_check(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(javascript, "SCRIPTS", tmp_path / "js")
    assert javascript.check(Path(sys.executable)) == 0
    assert "no scripts yet" in capsys.readouterr().out


def test_the_packages_are_fetched_when_one_is_another_version(tmp_path, monkeypatch):
    scripts = tmp_path / "js"
    scripts.mkdir()
    (scripts / "x.js").write_text("")
    fetched = []

    def fetch(python: Path, wanted: list[str]) -> int:
        fetched.append(wanted)
        return 7

    def installed(versions: dict[str, str]) -> None:
        for name, version in versions.items():
            package = tmp_path / "node_modules" / name
            package.mkdir(parents=True, exist_ok=True)
            (package / "package.json").write_text(json.dumps({"version": version}))

    monkeypatch.setattr(javascript, "SCRIPTS", scripts)
    monkeypatch.setattr(javascript, "NODE", tmp_path)
    monkeypatch.setattr(javascript, "_fetch", fetch)
    assert javascript.installed_version(tmp_path / "node_modules" / "typescript") is None
    assert javascript.check(Path("python")) == 7
    installed(javascript.PACKAGES | {"typescript": "1.0.0"})
    assert javascript.installed_version(tmp_path / "node_modules" / "typescript") == "1.0.0"
    assert javascript.lint(Path("python")) == 7
    wanted = [f"{name}@{version}" for name, version in javascript.PACKAGES.items()]
    assert fetched == [wanted] * 2


def test_the_formatter_keeps_the_line_length_that_the_editors_are_told():
    width = json.loads((ROOT / "biome.json").read_text(encoding="utf-8"))["formatter"]["lineWidth"]
    assert f"max_line_length = {width}\n" in (ROOT / ".editorconfig").read_text(encoding="utf-8")
