"""Mistakes in the work of a fault, written down before the rules; each is found at its own line.

The number is that of the list; `D` hurts somebody, `W` is wrong about the board, `S` a slip.
"""

import shutil
from pathlib import Path

import pytest

from benchlore.book import load_book
from tests.books import EXAMPLE
from tests.rules.said import check_by

pytestmark = pytest.mark.slow
FAMILY = "siskin-12"
# number, gravity, record, what stands there, what is written, the rule, what the line of the finding holds
PLANTED = (
    (
        1,
        "D",
        "pack-data-pull-up-open.yaml",
        "    - unplug: everything\n    - discharge: 10 s\n",
        "    - unplug: pack\n    - discharge: 10 s\n",
        "work-under-power",
        "replace",
    ),
    (
        2,
        "D",
        "pack-data-pull-up-open.yaml",
        "    - unplug: everything\n    - discharge: 10 s\n    - replace: {part: R82, value: 2.2 kohm 5%}\n",
        "    - unplug: adapter\n    - replace: {part: R82, value: 2.2 kohm 5%}\n    - unplug: pack\n",
        "work-under-power",
        "replace",
    ),
    (3, "D", "inlet-fuse-open.yaml", "    - discharge: 10 s\n", "", "work-under-power", "measure"),
    (
        4,
        "D",
        "inlet-fuse-open.yaml",
        "    - unplug: everything\n",
        "    - Bridge the fuse with solder to test.\n    - unplug: everything\n",
        "dangerous-order",
        "Bridge",
    ),
    (
        5,
        "D",
        "pen-bay-holds-pack-data-low.yaml",
        "    - unplug: E7\n",
        "    - {unplug: E7, say: Lever the connector up with a screwdriver.}\n",
        "dangerous-order",
        "Lever",
    ),
    (
        6,
        "D",
        "pen-bay-holds-pack-data-low.yaml",
        "    - unplug: everything\n    - discharge: 10 s\n",
        "",
        "wet-at-heat-or-power",
        "clean",
    ),
    (
        7,
        "D",
        "main-rail-capacitor-shorted.yaml",
        "up_to: 8.4 V",
        "up_to: 12 V",
        "unsafe-injection-step",
        "12 V",
    ),
    (8, "D", "main-rail-capacitor-shorted.yaml", "limit: 1 A, ", "", "unsafe-injection-step", "inject"),
    (
        9,
        "D",
        "main-rail-capacitor-shorted.yaml",
        "limit: 1 A",
        "limit: 10 A",
        "unsafe-injection-step",
        "10 A",
    ),
    (
        10,
        "D",
        "main-rail-capacitor-shorted.yaml",
        "inject: MAIN",
        "inject: PACK_DATA",
        "unsafe-injection-step",
        "PACK_DATA",
    ),
    (12, "W", "pack-data-pull-up-open.yaml", "part: R82, value", "part: R83, value", "fit-not-cause", "R83"),
    (13, "W", "inlet-fuse-open.yaml", "replace: F1", "replace: F9", "unknown-part", "F9"),
    (14, "W", "charger-data-pin-shorted.yaml", "    - fit: U12\n", "", "part-left-off", "remove: U12"),
    (15, "W", "charger-data-pin-shorted.yaml", "    - remove: U12\n", "", "part-left-off", "fit: U12"),
    (
        16,
        "W",
        "pack-data-pull-up-open.yaml",
        "value: 2.2 kohm",
        "value: 22 kohm",
        "contradicted-step-value",
        "22 kohm",
    ),
    (
        17,
        "W",
        "main-rail-capacitor-shorted.yaml",
        "say: Do so before power.",
        "say: MAIN must read 8.90 V.",
        "contradicted-step-value",
        "8.90",
    ),
    (
        18,
        "D",
        "pack-data-pull-up-open.yaml",
        "    - replace: {part: R82, value: 2.2 kohm 5%}\n",
        "    - replace: {part: R82, value: 2.2 kohm 5%}\n    - Warm the swollen pack with hot air.\n",
        "dangerous-order",
        "swollen",
    ),
    (
        19,
        "D",
        "keyboard-holds-power-key-low.yaml",
        "    - fit: K1\n",
        "    - Open the pack and short the balance wires.\n    - fit: K1\n",
        "dangerous-order",
        "balance",
    ),
    (
        20,
        "D",
        "inlet-fuse-open.yaml",
        "    - unplug: everything\n",
        "    - Work on the open adapter.\n    - unplug: everything\n",
        "dangerous-order",
        "open adapter",
    ),
    (
        23,
        "W",
        "controller-pin-shorted-on-pack-data.yaml",
        "    - remove: U30\n",
        "    - remove: U30\n    - program: U30\n",
        "part-left-off",
        "program",
    ),
    (
        24,
        "D",
        "inlet-fuse-open.yaml",
        "    - discharge: 10 s\n",
        "    - discharge: 10 s\n    - plug: adapter\n",
        "work-under-power",
        "measure",
    ),
    (
        25,
        "W",
        "inlet-jack-cracked.yaml",
        "    - {reflow: J1,",
        "    - {clean: J1, with: brush,",
        "action-without-step",
        "action",
    ),
    (
        26,
        "W",
        "controller-pin-shorted-on-pack-data.yaml",
        "  minutes: 120",
        "  minutes: 2",
        "fix-faster-than-part",
        "minutes: 2",
    ),
    (64, "W", "keyboard-holds-power-key-low.yaml", "at: POWER_KEY", "at: NOWHERE", "unknown-net", "NOWHERE"),
    (
        74,
        "S",
        "inlet-fuse-open.yaml",
        "mode: open",
        "mode: shorted-to-ground",
        "impossible-mode",
        "mode: shorted",
    ),
    (82, "S", "inlet-jack-cracked.yaml", "share_of_time: 0.7", "share_of_time: 1.4", "wrong-value", "1.4"),
    (
        83,
        "S",
        "pack-clock-resistor-cracked.yaml",
        "revisions: [A]",
        "revisions: [A, C]",
        "unknown-revision",
        "C]",
    ),
)


@pytest.mark.parametrize(
    ("file", "before", "after", "rule", "at"),
    [one[2:] for one in PLANTED],
    ids=[str(one[0]) for one in PLANTED],
)
def test_a_planted_mistake_is_found_at_its_line(file, before, after, rule, at, tmp_path: Path):
    for one in ("common", FAMILY):
        shutil.copytree(EXAMPLE / "faults" / one, tmp_path / "faults" / one)
    path = tmp_path / "faults" / FAMILY / file
    text = path.read_text(encoding="utf-8")
    assert before in text
    text = text.replace(before, after, 1)
    path.write_text(text, encoding="utf-8")
    lines = text.split("\n")
    loaded = load_book(tmp_path)
    found = [f for f in check_by(rule, loaded) if f.rule == rule and f.file.endswith(file)]
    assert any(at in lines[f.line - 1] for f in found), [(f.line, f.message) for f in found]
