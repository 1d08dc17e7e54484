"""`benchlore check` on a copy of a book with thirty mistakes names all thirty, and nothing else.

The mistakes are those that people make: a letter, a copied line, a comma, a tab, the wrong one of two names.
"""

import json
import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest

from benchlore.cli import main
from tests.books import EXAMPLE

ROOT = Path(__file__).parents[2]
SISKIN = "faults/siskin-12"
TEAL = "faults/teal-8"


@dataclass(frozen=True)
class Mistake:
    """`before` stands once in the file and becomes `after`; the finding names the line with `at` in it."""

    file: str
    before: str
    after: str
    rule: str
    at: str


MISTAKES = (
    # names that lead nowhere
    Mistake(
        f"{SISKIN}/pen-bay-holds-pack-data-low.yaml",
        "  - measure: main-rail-pen-bay-unplugged\n",
        "  - measure: main-rail-guage-unplugged\n",
        "unknown-measurement",
        "guage",
    ),
    Mistake(
        f"{SISKIN}/protection-array-leaks-on-pack-data.yaml",
        "  pack-not-seen: often\n",
        "  pack-not-there: often\n",
        "unknown-symptom",
        "pack-not-there",
    ),
    Mistake(f"{SISKIN}/pack-fuse-open.yaml", "  part: F2\n", "  part: F5\n", "unknown-part", "F5"),
    Mistake(
        f"{SISKIN}/pack-data-pull-up-open.yaml",
        "    expected_reading: flat-low\n",
        "    expected_reading: flat\n",
        "unknown-outcome",
        "flat",
    ),
    Mistake(
        f"{TEAL}/touch-connector-dirty.yaml",
        "hazard: [broken-glass]\n",
        "hazard: [broken-glas]\n",
        "unknown-hazard",
        "glas]",
    ),
    Mistake(
        f"{TEAL}/cc1-pull-down-open.yaml",
        "techniques: [junction-test]\n",
        "techniques: [junction]\n",
        "unknown-technique",
        "junction]",
    ),
    Mistake(
        f"{SISKIN}/pack-clock-resistor-cracked.yaml",
        "revisions: [A]\n",
        "revisions: [A, C]\n",
        "unknown-revision",
        "C]",
    ),
    Mistake(
        "faults/common/shop.yaml",
        "default_meter: hand-held-3-half\n",
        "default_meter: handheld-3-half\n",
        "unknown-meter",
        "handheld",
    ),
    Mistake(f"{TEAL}/charge-fault.yaml", "", "moved_to: teal-8/charger-died\n", "unknown-fault", "moved_to"),
    # fields
    Mistake(f"{SISKIN}/charger-does-not-start.yaml", "seen: 2\n", "seen: two\n", "wrong-type", "two"),
    Mistake(f"{SISKIN}/core-switch-shorted.yaml", "  minutes: 45\n", "  minutes: 0\n", "wrong-value", "0"),
    Mistake(
        f"{TEAL}/touch-panel-holds-data-low.yaml",
        "  action: replace\n",
        "  action: swap\n",
        "wrong-value",
        "swap",
    ),
    Mistake(
        f"{SISKIN}/controller-pin-shorted-on-pack-data.yaml",
        "seen: 3\n",
        "seen: 3\nseem: 4\n",
        "unknown-field",
        "seem",
    ),
    # YAML and bytes
    Mistake(
        f"{SISKIN}/standby-capacitor-shorted.yaml",
        "seen: 3\n",
        "seen: 3\nseen: 6\n",
        "duplicate-key",
        "6",
    ),
    Mistake(
        f"{SISKIN}/controller-firmware-lost.yaml",
        "  action: reprogram\n",
        "\taction: reprogram\n",
        "tab-in-indent",
        "action",
    ),
    Mistake(
        f"{SISKIN}/inlet-fuse-open.yaml",
        "title: Inlet fuse is open\n",
        "title: Inlet: fuse is open\n",
        "not-yaml",
        "title",
    ),
    Mistake(
        f"{TEAL}/cc1-pull-down-open.yaml",
        "  how: A cracked resistor above the receptacle, after a tug at the cable.\n",
        "  how: no\n",
        "ambiguous-value",
        "no",
    ),
    Mistake(f"{TEAL}/Cell Worn.yaml", "", "retired: Never seen.\n", "file-misnamed", "retired"),
    # what the readings say
    Mistake(
        f"{TEAL}/receptacle-worn-out.yaml",
        "  confirm: [vbus-volts, vbus-volts-turned]\n",
        "  confirm: {vbus-volts: normal, vbus-volts-turned: absent}\n",
        "confirm-not-normal",
        "absent",
    ),
    Mistake(
        f"{TEAL}/touch-connector-dirty.yaml",
        "  confirm: [touch-connector-look]\n",
        "  confirm: [touch-volts]\n",
        "confirm-proves-nothing",
        "confirm",
    ),
    Mistake(
        f"{SISKIN}/inlet-jack-cracked.yaml",
        "  - measure: inlet-behind-fuse\n    expected_reading: {absent: 0.7, low: 0.3}\n",
        "  - measure: inlet-behind-fuse\n    expected_reading: {absent: 0.7, low: 0.4}\n",
        "shares-not-one",
        "low: 0.4",
    ),
    Mistake(
        f"{TEAL}/system-capacitor-leaks.yaml",
        "  - measure: system-heat\n",
        "  - measure: system-ohms\n    expected_reading: shorted\n  - measure: system-heat\n",
        "repeated-measurement",
        "system-ohms",
    ),
    Mistake(
        f"{SISKIN}/main-rail-capacitor-shorted.yaml",
        "  minutes: 20\n",
        "  minutes: 2\n",
        "fix-faster-than-part",
        "2",
    ),
    Mistake(
        f"{TEAL}/charger-data-pin-shorted.yaml",
        "  how: A surge that killed a part of the charger.\n",
        "  how: TODO\n",
        "placeholder-left",
        "TODO",
    ),
    # the family
    Mistake(
        f"{SISKIN}/family.yaml",
        "    at: {A: [39 mm, 72 mm], B: [53 mm, 72 mm]}\n",
        "    at: {A: [410 mm, 63 mm], B: [52 mm, 63 mm]}\n",
        "off-board",
        "410",
    ),
    Mistake(
        f"{SISKIN}/family.yaml",
        "  main-rail-pen-bay-unplugged:\n    at: C55\n",
        "  main-rail-pen-bay-unplugged:\n    at: C56\n",
        "unknown-test-point",
        "C56",
    ),
    Mistake(
        f"{SISKIN}/family.yaml",
        "  pack-data-junction:\n    at: J15_2\n    mode: junction\n    state: nothing-connected\n",
        "  pack-data-junction:\n    at: J15_2\n    mode: junction\n    state: adapter-only\n",
        "measured-under-power",
        "state",
    ),
    Mistake(
        f"{TEAL}/family.yaml", "    unplugged: [P81]\n", "    unplugged: [U82]\n", "cannot-unplug", "U82"
    ),
    # what all families share
    Mistake(
        "faults/common/symptoms.yaml",
        "    - dies when I pull the plug\n",
        "    - dies when I pull the plug\n    - Plugged in, not charging!\n",
        "said-twice",
        "Plugged",
    ),
    Mistake(
        "faults/common/techniques/junction-test.yaml",
        "hazard: [lithium-pack, stored-charge, static]\n",
        "hazard: [stored-charge, lithium-pack, static]\n",
        "hazards-out-of-order",
        "hazard",
    ),
)


def plant(book: Path, mistake: Mistake) -> tuple[str, int, str]:
    """Put a mistake into the book; the file, line and rule that a finding must name."""
    path = book / mistake.file
    text = path.read_text(encoding="utf-8") if path.exists() else ""
    if mistake.before:
        assert text.count(mistake.before) == 1, f"{mistake.file} must hold once: {mistake.before}"
        start = text.index(mistake.before)
        text = text[:start] + mistake.after + text[start + len(mistake.before) :]
    else:
        assert not path.exists()
        start, text = 0, mistake.after
    path.write_text(text, encoding="utf-8")
    line = text.count("\n", 0, start + mistake.after.index(mistake.at)) + 1
    return mistake.file, line, mistake.rule


@pytest.fixture(scope="module")
def planted(tmp_path_factory) -> tuple[Path, list[tuple[str, int, str]]]:
    book = tmp_path_factory.mktemp("book")
    shutil.copytree(EXAMPLE / "faults", book / "faults")
    # The last one of a file first, so that no mistake moves the line of another.
    return book, [plant(book, mistake) for mistake in reversed(MISTAKES)]


def test_there_are_thirty():
    assert len(MISTAKES) == 30


def test_all_mistakes_are_named_and_nothing_else(planted, capsys):
    book, expected = planted
    assert main(["check", "--root", str(book), "--format", "json"]) == 1
    found = json.loads(capsys.readouterr().out)["findings"]
    assert sorted((f["file"], f["line"], f["rule"]) for f in found) == sorted(expected)
    assert all(f["mend"] for f in found), "each says what to do"
