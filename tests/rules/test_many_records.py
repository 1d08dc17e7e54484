"""A folder with very many records of one family is judged in a time that grows as they do."""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.books import EXAMPLE

FAMILY = "siskin-12"
FEW = 10
AT_MOST = 1.08  # times what each record costs of the first, more than FEW
COUNT = """
import cProfile, pstats, sys
from pathlib import Path
from benchlore.book import load_book
from benchlore.cache import aside
from benchlore.rules import check

profile = cProfile.Profile()
with aside():
    loaded = profile.runcall(load_book, Path(sys.argv[1]))
    profile.runcall(check, loaded)
print(len(loaded.book.faults), pstats.Stats(profile).total_calls)
"""


def alike(original: Any, number: int) -> Any:
    """The very same record again."""
    return original


def different(original: Any, number: int) -> Any:
    """A record with a title and a count of its own, whose part leaks as no other does."""
    rng = random.Random(number)
    record = original | {"title": f"{original['title']}, kind {number}", "seen": rng.randint(1, 30)}
    if at := record["cause"].get("at"):
        ohms = rng.uniform(10, 1000)
        of = {key: record["cause"][key] for key in ("part", "how") if key in record["cause"]}
        record["cause"] = of | {"at": at, "mode": "leaks", "ohms": f"{ohms:.1f} to {1.5 * ohms:.1f} ohm"}
    return record


def calls(folder: Path, count: int, make: Callable[[Any, int], Any]) -> int:
    """How many calls a check of one family with so many faults takes: the same on every machine."""
    records = folder / str(count) / "faults"
    shutil.copytree(EXAMPLE / "faults" / "common", records / "common")
    (records / FAMILY).mkdir()
    shutil.copy(EXAMPLE / "faults" / FAMILY / "family.yaml", records / FAMILY)
    paths = sorted((EXAMPLE / "faults" / FAMILY).glob("*.yaml"))
    originals = [yaml.safe_load(p.read_text(encoding="utf-8")) for p in paths if p.name != "family.yaml"]
    if make is alike:
        originals = originals[:1]
    for number in range(count):
        text = yaml.safe_dump(make(originals[number % len(originals)], number), sort_keys=False)
        (records / FAMILY / f"fault-{number}.yaml").write_text(text, encoding="utf-8")
    # In a process of its own, with nothing kept: what another check leaves is not this one's saving.
    run = subprocess.run(
        [sys.executable, "-c", COUNT, str(folder / str(count))],
        env=os.environ | {"PYTHONHASHSEED": "0"},
        capture_output=True,
        text=True,
        check=True,
    )
    faults, made = map(int, run.stdout.split())
    assert faults == count
    return made


@pytest.mark.slow
@pytest.mark.parametrize("make", [alike, different])
def test_time_grows_as_the_records_do(make: Callable[[Any, int], Any], tmp_path: Path) -> None:
    few, more, most = (calls(tmp_path, count, make) for count in (FEW, 2 * FEW, 4 * FEW))
    assert most - more <= AT_MOST * 2 * (more - few)
