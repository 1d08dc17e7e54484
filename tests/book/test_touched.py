"""What is touched to add a bench state of one family, and a revision or a fault that is nearly another one:
DEVELOPERS.md has the table."""

from __future__ import annotations

import difflib
import re
import shutil
from pathlib import Path

import pytest

from benchlore.book import load_book
from benchlore.rules import check
from tests.books import EXAMPLE

FAMILY = "siskin-12"
FILE = f"faults/{FAMILY}/family.yaml"


def state(root: Path) -> None:
    text = (root / FILE).read_text(encoding="utf-8")
    (listed,) = re.findall(r"^states: \[(.*)\]", text, re.MULTILINE)
    named = "\n".join(f"  - {one}" for one in listed.split(", "))
    own = """
  - lid-shut:
      title: Adapter in, lid shut
      short: Lid shut
      sources: [adapter]
      minutes: 2
      how: [Plug the adapter in and shut the lid.]
      hazard: [mains-adapter, probe-slip]"""
    text = re.sub(r"^states: \[.*\]", f"states:\n{named}{own}", text, count=1, flags=re.MULTILINE)
    read = (
        "  standby-lid-shut:\n    like: standby-volts\n    state: lid-shut\n    asks: Does it stay there?\n"
    )
    text = text.replace("\nmeasurements:\n", f"\nmeasurements:\n{read}", 1)
    (root / FILE).write_text(text, encoding="utf-8")


def revision(root: Path) -> None:
    text = (root / FILE).read_text(encoding="utf-8")
    start = text.index("\n  B:\n", text.index("\nrevisions:"))
    end = text.index("\n\n", start)
    text = f"{text[:end]}\n  C: {{tell: The letter C stands after the code., like: B}}{text[end:]}"
    head, points = text.split("\ntest_points:\n", 1)
    for n in range(3):
        place = rf"\1, C: [{44 + n} mm, 50 mm]}}"
        points = re.sub(r"(at: \{A: \[[^]]*\], B: \[[^]]*\])\}", place, points, count=1)
    (root / FILE).write_text(f"{head}\ntest_points:\n{points}", encoding="utf-8")


def variant(root: Path) -> None:
    (root / f"faults/{FAMILY}/pack-clock-resistor-of-b.yaml").write_text(
        f"""like: {FAMILY}/pack-clock-resistor-cracked
title: Series resistor of the pack clock line is cracked on revision B
revisions: [B]
summary: On revision B the resistor sits beside the controller and cracks when that is pressed on.
seen: 1
waive:
  contradicted-step-value: The circuit takes this resistor and the pull-up behind it as one.
""",
        encoding="utf-8",
    )


def lines(root: Path) -> dict[str, list[str]]:
    files = sorted((root / "faults").rglob("*.yaml"))
    return {str(p.relative_to(root)): p.read_text(encoding="utf-8").splitlines() for p in files}


@pytest.mark.parametrize(("add", "most"), [(state, 17), (revision, 4), (variant, 7)])
def test_one_file_is_touched_and_check_has_nothing_to_say(add, most, tmp_path):
    shutil.copytree(EXAMPLE / "faults", tmp_path / "faults")
    old = lines(tmp_path)
    known = {(one.file, one.rule, one.message) for one in check(load_book(tmp_path))}
    add(tmp_path)
    new = lines(tmp_path)
    changed = {file for file in new if new[file] != old.get(file)}
    assert len(changed) == 1
    (file,) = changed
    diff = difflib.unified_diff(old.get(file, []), new[file], n=0, lineterm="")
    assert 0 < sum(line[0] == "+" and line[:3] != "+++" for line in diff) <= most
    found = check(load_book(tmp_path))
    assert [one for one in found if (one.file, one.rule, one.message) not in known] == []
