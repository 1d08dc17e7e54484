"""What the entries of a family leave out, and where it comes from."""

from __future__ import annotations

import re
import shutil

import pytest

from benchlore.book import load_book
from benchlore.book.defaults import mode_of, with_defaults, without_defaults
from benchlore.book.merge import family_of_files
from benchlore.book.schemas import schema
from benchlore.diagnosis.hypotheses import reachable
from benchlore.rules import check
from benchlore.site import paths
from benchlore.site.words import asked, places
from benchlore.vocabulary import KIND_BY_LETTER, PART_KINDS
from tests.books import GOOD, ROOT

FILE = "faults/wren-5/family.yaml"
FAMILY = "wren-5"


@pytest.mark.parametrize(
    ("entry", "mode"),
    [
        ({"healthy": "3.2 to 3.4 V"}, "dc-volts"),
        ({"healthy": "under 10 ohm"}, "ohms"),
        ({"healthy": "32.7 to 32.8 kHz"}, "hertz"),
        ({"steps": {"off": "0 to 5 mA", "runs": "0.2 to 0.4 A"}}, "amps"),
        ({"outcomes": {"cold": {"range": "20 to 40 degC"}}}, "celsius"),
        ({"outcomes": {"open": {"range": "open"}, "normal": {"range": "1 to 2 ohm"}}}, "ohms"),
        ({"outcomes": {"bent": {"means": "Bent."}}}, "look"),
        # No guess: percent is of two readings, and what is no value may be any.
        ({"compare": {"with": "A", "within": "5%"}}, None),
        ({"healthy": "3,3 V"}, None),
        ({"healthy": "40 to 60 %"}, None),
    ],
)
def test_a_unit_says_the_meter_function(entry, mode):
    assert mode_of(entry) == mode


@pytest.mark.parametrize(
    ("section", "name", "entry", "kind"),
    [
        # Class designation letters of ANSI/IEEE 315-1975, clause 22 (from memory); B for the pack is ours.
        ("parts", "R82", {}, "resistor"),
        ("parts", "C1", {}, "mlcc"),
        ("parts", "L3", {}, "inductor"),
        ("parts", "D12", {}, "diode"),
        ("parts", "Q5", {}, "mosfet"),
        ("parts", "U30", {}, "ic"),
        ("parts", "F1", {}, "fuse"),
        ("parts", "J5", {}, "connector"),
        ("parts", "Y1", {}, "crystal"),
        ("parts", "W2", {}, "cable"),
        ("parts", "B1", {}, None),
        ("parts", "C62", {"kind": "electrolytic"}, "electrolytic"),
        ("parts", "LS71", {}, None),
        ("parts", "E7", {}, None),
        ("nets", "SDA", {"bus": "i2c"}, "data"),
        ("nets", "SMB", {"bus": "smbus"}, "data"),
        ("nets", "CC1", {"bus": "usb-c-cc"}, "control"),
        ("nets", "KEY", {"bus": "logic-3v3"}, "control"),
        ("nets", "WAKE", {"bus": "logic-1v8"}, "control"),
        ("nets", "TALK", {"bus": "logic-3v3", "kind": "data"}, "data"),
        ("nets", "CLK", {"signal": {"by": "U1", "hertz": "32 kHz"}}, "clock"),
        ("nets", "RUN", {"signal": {"by": "U1", "volts": "3.3 V"}}, "control"),
        ("nets", "MAIN", {}, None),
        ("nets", "ODD", {"bus": ["i2c"]}, None),
    ],
)
def test_a_designator_a_bus_and_a_signal_say_the_kind(section, name, entry, kind):
    whole = with_defaults({section: {name: entry}})
    assert whole[section][name].get("kind") == kind
    # What a writer leaves out comes back.
    short = without_defaults(whole)
    assert with_defaults(short) == whole
    assert ("kind" in short[section][name]) == ("kind" in entry)


@pytest.mark.parametrize(
    ("name", "entry", "unplugs"),
    [
        ("B1", {"kind": "pack"}, True),
        ("W2", {}, True),
        ("W2", {"unplugs": False}, False),
        ("E7", {"kind": "accessory"}, True),
        ("J1", {}, None),
        ("J2", {"unplugs": True}, True),
        ("X1", {"kind": ["pack"]}, None),
    ],
)
def test_what_is_not_on_the_board_unplugs(name, entry, unplugs):
    whole = with_defaults({"parts": {name: entry}})
    assert whole["parts"][name].get("unplugs") is unplugs
    short = without_defaults(whole)["parts"][name]
    assert with_defaults({"parts": {name: short}}) == whole
    kept = {"kind": entry["kind"]} if "kind" in entry else {}
    assert short == (entry if unplugs is None or entry.get("unplugs") is not (name[0] == "W") else kept)


def test_a_part_that_no_net_names_sits_on_the_nets_of_its_points(root):
    path = root / FILE
    text = path.read_text(encoding="utf-8")
    silent = text.replace('    package: "1206"\n    nets: [MAIN]\n', '    package: "1206"\n', 1)
    path.write_text(silent, encoding="utf-8")
    assert load_book(root).book.families[FAMILY].parts["C1"].nets == ()
    path.write_text(silent.replace("  TP2:\n", "  C1_TOP:\n", 1), encoding="utf-8")
    assert load_book(root).book.families[FAMILY].parts["C1"].nets == ("MAIN",)
    # What the record says, it says in full.
    said = silent.replace('    package: "1206"\n', '    package: "1206"\n    nets: [PACK]\n', 1)
    path.write_text(said.replace("  TP2:\n", "  C1_TOP:\n", 1), encoding="utf-8")
    assert load_book(root).book.families[FAMILY].parts["C1"].nets == ("PACK",)


def test_the_pages_that_name_the_letters_of_designators_name_all_of_them():
    # The table stands in the vocabulary; the schema and the README of the records say it in words.
    said = schema("family")["properties"]["parts"]["additionalProperties"]["properties"]["kind"][
        "description"
    ]
    assert re.findall(r"\b([A-Z]{1,2}) ([a-z]+)", said.split("says it: ")[1].split(".")[0]) == list(
        KIND_BY_LETTER.items()
    )
    page = (ROOT / "faults" / "README.md").read_text(encoding="utf-8")
    told = page.split("**The kind of a part**")[1].split(". A pack")[0]
    words = re.findall(r"\b([A-Z]{1,2})(?: is)? an? ([\w ]+?)(?=,|$)", " ".join(told.split()))
    assert words == [(letter, PART_KINDS[kind].label) for letter, kind in KIND_BY_LETTER.items()]


def test_a_part_without_a_kind_is_asked_for_it(root):
    path = root / FILE
    text = path.read_text(encoding="utf-8")
    path.write_text(
        text.replace("    kind: accessory\n    package: 10-pin", "    package: 10-pin"), encoding="utf-8"
    )
    assert load_book(root).findings == ()
    assert load_book(root).book.families[FAMILY].parts["J1"].kind == "connector"
    path.write_text(
        text.replace("  J1:\n", "  EX1:\n").replace(
            "    kind: accessory\n    package: 10-pin", "    package: 10-pin"
        ),
        encoding="utf-8",
    )
    one = next(one for one in load_book(root).findings if one.rule == "missing-field")
    assert (one.excerpt.strip(), one.message) == ("EX1:", "the field 'kind' is missing")


def full(measurement, **family):
    data = {"measurements": {"m": measurement}, **family}
    return with_defaults(data)["measurements"]["m"]


def test_the_bench_state_is_the_usual_one_of_its_meter_function():
    usual = {"powered": "adapter-only", "unpowered": "nothing-connected"}
    given = {
        "dc-volts": "adapter-only",
        "ohms": "nothing-connected",
        "junction": "nothing-connected",
        "look": "nothing-connected",
        "listen": "adapter-only",
        "scope": "adapter-only",
        "ac-ripple": "adapter-only",
    }
    for mode, state in given.items():
        assert full({"mode": mode}, usual_state=usual)["state"] == state
    assert full({"mode": "look", "state": "adapter-only"}, usual_state=usual)["state"] == "adapter-only"
    assert "state" not in full({"mode": "look"})


def test_a_net_stands_where_the_one_above_does_and_no_further(root):
    nets = {
        "FUSED2": ("path: {from: VIN, part: F1, ohms: 1 ohm}", True),
        "LINE2": ("pull: {to: FUSED2, ohms: 10 kohm}", True),
        "BEHIND": ("path: {from: VIN, part: F1, drop: 0.3 V}", False),
        "LOADED": ("path: {from: VIN, part: F1, ohms: 9 kohm}\n    pull: {to: ground, ohms: 1 kohm}", False),
        "DIVIDED": ("pull: [{to: VIN, ohms: 1 kohm}, {to: ground, ohms: 1 kohm}]", False),
        "RING": ("path: {from: RING, part: F1, ohms: 1 ohm}", False),
        "LOST": ("path: {from: NOWHERE, part: F1, ohms: 1 ohm}", False),
    }
    path = root / FILE
    text = path.read_text(encoding="utf-8")
    added = "".join(f"  {name}:\n    for: A test.\n    {line}\n" for name, (line, _) in nets.items())
    path.write_text(text.replace("\nparts:\n", f"\n{added}parts:\n", 1), encoding="utf-8")
    loaded = load_book(root)
    assert loaded.findings == ()
    made = loaded.book.families[FAMILY].nets
    level = made["VIN"].nominal
    assert level is not None
    assert {name: made[name].nominal for name in nets} == {
        name: level if same else None for name, (_, same) in nets.items()
    }


@pytest.fixture
def root(tmp_path):
    shutil.copytree(GOOD / "faults", tmp_path / "faults")
    return tmp_path


def test_a_part_that_is_like_another_one_sits_and_meets_its_own():
    first = {"kind": "resistor", "package": "0402 chip", "side": "bottom", "at": {"A": [1, 2]}, "nets": ["X"]}
    parts = {"R1": first, "R2": {"like": "R1", "name": "pull-up"}, "R3": {"like": "R1", "at": {"A": [3, 4]}}}
    made = family_of_files(FILE, {"parts": parts}, {}).data["parts"]
    assert made["R2"] == {"kind": "resistor", "package": "0402 chip", "name": "pull-up"}
    assert (made["R3"]["side"], made["R3"]["at"]) == ("top", {"A": [3, 4]})


def test_a_state_that_nothing_says_is_missed_at_its_measurement(root):
    path = root / FILE
    text = path.read_text(encoding="utf-8")
    start = text.index("\nmeasurements:")
    state = text.index("    state: ", start)
    end = text.index("\n", state)
    path.write_text(text[:state] + text[end + 1 :], encoding="utf-8")
    (found,) = (one for one in load_book(root).findings if one.rule == "missing-field")
    name = found.excerpt.strip().rstrip(":")
    assert (found.file, found.message) == (FILE, "the field 'state' is missing")
    assert text.rindex(f"  {name}:", 0, state) > start
    usual = "usual_state: {powered: adapter-only, unpowered: nothing-connected}"
    path.write_text(
        (text[:state] + text[end + 1 :]).replace("\nboard:", f"\n{usual}\nboard:"), encoding="utf-8"
    )
    assert load_book(root).findings == ()


def test_a_technique_belongs_to_the_readings_to_ground_of_its_meter_function(root):
    measured = load_book(root).book.families[FAMILY].measurements.values()
    volts = {m.id for m in measured if m.mode == "dc-volts" and m.technique is None and m.to_ground}
    assert volts
    folder = root / "faults" / "common" / "techniques"
    path = sorted(folder.glob("*.yaml"))[0]
    path.write_text(path.read_text(encoding="utf-8") + "\nmode: dc-volts\n", encoding="utf-8")
    loaded = load_book(root)
    assert loaded.findings == ()
    after = loaded.book.families[FAMILY].measurements.values()
    assert {m.id for m in after if m.technique == path.stem and m.mode == "dc-volts"} == volts


def with_looks(root, part, looks, nets=""):
    """The book with more of the family's parts and measurements, and with `nets` behind its nets."""
    path = root / FILE
    text = path.read_text(encoding="utf-8")
    text = text.replace("\nparts:\n", f"\n{nets}parts:\n{part}", 1)
    path.write_text(text.replace("\nmeasurements:\n", f"\nmeasurements:\n{looks}", 1), encoding="utf-8")
    loaded = load_book(root)
    assert loaded.findings == ()
    return loaded


def test_a_part_with_a_place_and_a_net_is_looked_at_where_no_probe_goes(root):
    part = (
        "  J9:\n    name: lead\n    kind: connector\n    package: plug\n"
        "    nets: [FAR]\n    side: bottom\n    at: {A: [3 mm, 4 mm], B: [3 mm, 4 mm]}\n"
        "    replace: {minutes: 5, skill: none}\n"
    )
    look = (
        "  j9-look:\n    at: J9\n    state: all-off\n    asks: Is it seated?\n    outcomes:\n"
        "      seated: {normal: true, means: It is down.}\n      loose: {means: It is up.}\n"
    )
    loaded = with_looks(root, part, look, nets="  FAR:\n    for: A test.\n")
    point = loaded.book.families[FAMILY].test_points["J9"]
    assert (point.net, point.side, point.at["A"]) == ("FAR", "bottom", (3.0, 4.0))


def test_a_part_on_no_net_and_without_a_place_is_looked_at(root):
    part = (
        "  W9:\n    name: strap of the case\n    kind: accessory\n    package: strap\n"
        "    replace: {minutes: 5, skill: none}\n"
    )
    looks = "".join(
        f"  {name}:\n    at: W9\n    state: all-off\n    asks: {asks}\n    outcomes:\n"
        "      whole: {normal: true, means: It is whole.}\n      torn: {means: It is torn.}\n"
        for name, asks in (("strap-look", "Is the strap whole?"), ("buckle-look", "Is its buckle shut?"))
    )
    loaded = with_looks(root, part, looks)
    family = loaded.book.families[FAMILY]
    point, look = family.test_points["W9"], family.measurements["strap-look"]
    assert (point.net, dict(point.at), look.net) == ("", {}, "")
    assert all(reachable(family, "strap-look", revision) for revision in family.revisions)
    assert places(family, point) == ((tuple(family.revisions), "strap of the case"),)
    assert asked(family, look) == "W9, strap of the case, look, Everything out"
    assert paths.measurement(FAMILY, look) == f"{FAMILY}/parts/W9.html#measure-strap-look"
    # Two looks at one thing differ in what they ask.
    found = [finding.rule for finding in check(loaded) if "buckle-look" in finding.message]
    assert "same-measurement" not in found
