"""A copy of the program and of a small book with one more meter function, `charge`.

Two files say what it is: the vocabulary, and the accuracies of the meters. The rest is a measurement that
uses it.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
FUNCTION = """        MeterFunction(
            id="charge",
            label="State of charge",
            unit="%",
            power="on",
            least=0.0,
            most=100.0,
            reads_zero=True,
            leads=True,
        ),
"""
ACCURACY = "    charge:\n      - {up_to: 100 %, resolution: 0.1 %, reading: 0.5%, counts: 3}\n"
MEASUREMENT = """  main-gate:
    at: TP2
    mode: charge
    state: adapter-only
    minutes: 2
    asks: Does the converter switch as it should?
    outcomes:
      healthy: {range: 40 to 60 %, normal: true, means: It regulates.}
      low: {range: under 40 %, means: It is held back.}
      high: {range: 60 to 100 %, means: It cannot keep up.}
"""
EXPECTATION = "  - {measure: main-gate, expected_reading: low}\n"

DATA = """
import json, sys
from pathlib import Path
from benchlore.book.loader import load_book
from benchlore.site import data, vocabulary_data
book = load_book(Path(sys.argv[1])).book
measurement = data.family(book, book.families["wren-5"])["measurements"]["main-gate"]
meter = data.common(book)["meters"]["handheld"]
print(json.dumps({"vocabulary": vocabulary_data.data(), "measurement": measurement, "meter": meter}))
"""


def run(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Python in the copy, on the copy's program."""
    env = {**os.environ, "PYTHONPATH": str(folder / "tools")}
    return subprocess.run([sys.executable, *arguments], cwd=folder, env=env, capture_output=True, text=True)


def page_data(folder: Path) -> dict[str, Any]:
    """The vocabulary, the measurement and its meter as the copy sends them to the browser."""
    found = run(folder, "-c", DATA, str(folder))
    assert found.returncode == 0, found.stderr
    known: dict[str, Any] = json.loads(found.stdout)
    return known


def copy(folder: Path) -> Path:
    """`tools/benchlore`, `schema` and `faults` in `folder`."""
    shutil.copytree(ROOT / "tools/benchlore", folder / "tools/benchlore")
    shutil.copytree(ROOT / "schema", folder / "schema")
    shutil.copytree(ROOT / "tests/rules/good/faults", folder / "faults")
    vocabulary = folder / "tools/benchlore/vocabulary.py"
    _insert(vocabulary, FUNCTION, before='        MeterFunction(\n            id="seconds"')
    _insert(folder / "faults/common/meters.yaml", ACCURACY, before="    celsius:\n")
    _insert(folder / "faults/wren-5/family.yaml", MEASUREMENT, before="  socket-look:\n")
    _insert(folder / "faults/wren-5/fuse-open.yaml", EXPECTATION, before="cause:")
    return folder


def _insert(file: Path, text: str, before: str) -> None:
    old = file.read_text(encoding="utf-8")
    assert old.count(before) == 1, (file, before)
    file.write_text(old.replace(before, text + before), encoding="utf-8")
