"""The same input gives the same bytes, whatever the day, the folder and the order of hashes."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.site.small_book import BUILD, book, contents, differing

pytestmark = pytest.mark.slow


def build(root: Path, site: Path, **environment: str) -> None:
    command = [sys.executable, "-c", BUILD, str(root), str(site), f"{root}-kept"]  # nothing of another build
    subprocess.run(command, env={**os.environ, **environment}, check=True)


def test_the_same_input_gives_the_same_bytes(tmp_path):
    one = book(tmp_path / "here", "Wren 5")
    other = book(tmp_path / "there" / "deeper", "Wren 5")
    build(one, tmp_path / "a", PYTHONHASHSEED="1", SOURCE_DATE_EPOCH="1", TZ="UTC")
    build(other, tmp_path / "b" / "site", PYTHONHASHSEED="2", SOURCE_DATE_EPOCH="1800000000", TZ="Asia/Tokyo")
    assert not differing(contents(tmp_path / "a"), contents(tmp_path / "b" / "site"))
