"""Every Python builds the same bytes: no tie is broken by the last bit of a sum."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from functools import cache

import pytest

from tests.books import EXAMPLE, buildable
from tests.built import build
from tests.site.small_book import contents, differing

VERSIONS = ("3.11", "3.12", "3.13", "3.14")
OWN = f"{sys.version_info[0]}.{sys.version_info[1]}"
# Benchlore and its packages, installed: MkDocs finds its plugins by what is.
INSTALLED = "from importlib.metadata import entry_points as e; e(group='mkdocs.plugins')['benchlore'].load()"


@cache
def interpreter(version: str) -> str | None:
    """A Python of this version in which Benchlore is installed, or None; `BENCHLORE_PYTHONS` names more."""
    named = [one for one in os.environ.get("BENCHLORE_PYTHONS", "").split(os.pathsep) if one]
    for python in (*named, *filter(None, [shutil.which(f"python{version}")])):
        program = f"import sys; {INSTALLED}; print('%d.%d' % sys.version_info[:2])"
        found = subprocess.run([python, "-c", program], capture_output=True, text=True, check=False)
        if found.stdout.strip() == version:
            return python
    return None


@pytest.mark.slow
@pytest.mark.parametrize("version", [v for v in VERSIONS if v != OWN])
def test_another_python_builds_the_same_bytes(version, site, tmp_path):
    python = interpreter(version)
    if python is None:
        pytest.skip(
            f"optional: a Python {version} in which Benchlore is installed (name it in BENCHLORE_PYTHONS)"
        )
    build(python, buildable(EXAMPLE, tmp_path / "book"), tmp_path / "site")
    assert not differing(contents(site), contents(tmp_path / "site"))
