"""Every package that gets installed is pinned, with hashes; the locks agree with pyproject.toml."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib

import pytest

import bootstrap
import supply

PACKAGE = re.compile(r"^([a-z0-9.-]+)(?:\[[^]]*\])?==(\S+)", re.MULTILINE)
TABLES = tomllib.loads((bootstrap.ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def normal(requirement: str) -> str:
    return re.sub(r"[-_.]+", "-", re.split(r"[\s<>=!~\[;]", requirement, maxsplit=1)[0]).lower()


@pytest.mark.parametrize("extra", ["", *bootstrap.EXTRAS])
def test_what_is_asked_for_is_locked(extra):
    found = {name for name, _ in PACKAGE.findall(bootstrap.locked(extra).read_text(encoding="utf-8"))}
    assert {normal(r) for r in supply.requirements(TABLES, extra)} <= found


@pytest.mark.parametrize("extra", ["", *bootstrap.EXTRAS])
def test_each_package_has_hashes_and_no_place_of_its_own(extra):
    text = bootstrap.locked(extra).read_text(encoding="utf-8")
    entries = re.split(r"^(?=[a-z])", text, flags=re.MULTILINE)[1:]
    assert len(entries) == len(PACKAGE.findall(text))
    assert all("--hash=sha256:" in entry for entry in entries)
    assert "://" not in text


def test_one_version_a_package_in_all_files():
    versions: dict[str, set[frozenset[str]]] = {}
    for extra in ("", *bootstrap.EXTRAS):
        chosen: dict[str, set[str]] = {}
        for name, version in PACKAGE.findall(bootstrap.locked(extra).read_text(encoding="utf-8")):
            chosen.setdefault(name, set()).add(version)
        for name, found in chosen.items():
            versions.setdefault(name, set()).add(frozenset(found))
    assert {name: found for name, found in versions.items() if len(found) > 1} == {}


def test_every_extra_has_a_lock():
    assert set(TABLES["project"]["optional-dependencies"]) == set(bootstrap.EXTRAS)


def test_a_package_that_is_not_what_was_locked_is_refused(tmp_path):
    """The real pip, and a package whose content differs from its hash."""
    (tmp_path / "pack-1.0.tar.gz").write_bytes(b"other")
    pins = tmp_path / "pins.txt"
    pins.write_text(f"pack==1.0 --hash=sha256:{'0' * 64}\n")
    command = [sys.executable, "-m", "pip", "install", "--require-hashes", "--no-index", "--no-deps"]
    command += ["--target", str(tmp_path / "out"), "--find-links", str(tmp_path), "-r", str(pins)]
    result = subprocess.run(command, capture_output=True, text=True)
    assert result.returncode == 1
    assert "DO NOT MATCH THE HASHES" in result.stderr
