"""A family in several files, and records that are like another one: they say what the long form says."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
import yaml

from benchlore.book import load_book
from benchlore.book.merge import SECTIONS
from benchlore.rules import check
from tests.books import EXAMPLE, ROOT

SISKIN = "faults/siskin-12"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    for one in ("common", "siskin-12"):
        shutil.copytree(EXAMPLE / "faults" / one, tmp_path / "faults" / one)
    return tmp_path


def raw(book: Path, file: str = f"{SISKIN}/family.yaml") -> dict:
    data: dict = yaml.safe_load((book / file).read_text(encoding="utf-8"))
    return data


def write(book: Path, data: dict, file: str = f"{SISKIN}/family.yaml") -> None:
    path = book / file
    path.parent.mkdir(exist_ok=True)
    path.write_text(yaml.safe_dump(data, sort_keys=False, allow_unicode=True), encoding="utf-8")


def findings(book: Path) -> list[tuple[str, int, str]]:
    """Of a book with one family: common records that only another uses are none."""
    found = (f for f in check(load_book(book)) if not f.rule.startswith("unused-"))
    return [(f.file, f.line, f.rule) for f in found if f.severity != "note"]


def split(book: Path) -> None:
    """Leave a part of each section to a file of a subsystem."""
    data = raw(book)
    power: dict = {}
    for section in SECTIONS:
        names = list(data[section])[: len(data[section]) // 2]
        power[section] = {name: data[section].pop(name) for name in names}
    write(book, data)
    write(book, power, f"{SISKIN}/family/power.yaml")


def test_a_family_in_two_files_is_the_same_family(book):
    before = load_book(book).book.families["siskin-12"]
    split(book)
    loaded = load_book(book)
    assert not loaded.findings
    after = loaded.book.families["siskin-12"]
    for section in SECTIONS:
        assert set(getattr(after, section)) == set(getattr(before, section))
    assert after.measurements["adapter-at-inlet"].outcomes == before.measurements["adapter-at-inlet"].outcomes
    assert findings(book) == []


def test_a_place_in_a_file_of_a_subsystem_is_on_the_top_side_where_it_names_none(book):
    split(book)
    power = raw(book, f"{SISKIN}/family/power.yaml")
    name = next(iter(power["parts"]))
    power["parts"][name]["at"] = {"A": ["20 mm", "30 mm"], "B": ["22 mm", "30 mm"]}
    write(book, power, f"{SISKIN}/family/power.yaml")
    loaded = load_book(book)
    assert not loaded.findings
    assert loaded.book.families["siskin-12"].parts[name].side == "top"


def test_a_finding_names_the_file_and_the_line_of_the_subsystem(book):
    split(book)
    power = book / SISKIN / "family/power.yaml"
    text = power.read_text(encoding="utf-8").replace("from: ADAPTER", "from: ADAPTOR")
    power.write_text(text, encoding="utf-8")
    line = next(n for n, one in enumerate(text.split("\n"), 1) if "ADAPTOR" in one)
    assert (f"{SISKIN}/family/power.yaml", line, "unknown-net") in findings(book)


def test_a_field_that_a_subsystem_cannot_have_is_named_there_once(book):
    write(book, {"titel": "Power"}, f"{SISKIN}/family/power.yaml")
    found = [(f.file, f.rule) for f in load_book(book).findings]
    assert found.count((f"{SISKIN}/family/power.yaml", "unknown-field")) == 1
    assert (f"{SISKIN}/family.yaml", "family-unread") in found


def test_a_slip_in_a_family_leaves_the_outcomes_of_its_faults_alone(book):
    shutil.copytree(ROOT / "faults/dunlin-2", book / "faults/dunlin-2")
    family = "faults/dunlin-2/family.yaml"
    write(book, raw(book, family) | {"discharge": {}}, family)
    rules = {f.rule for f in check(load_book(book)) if f.file.startswith("faults/dunlin-2/")}
    assert {"wrong-type", "family-unread"} <= rules
    assert "unknown-outcome" not in rules


def test_what_is_kept_of_a_family_knows_its_other_files(book):
    split(book)
    load_book(book, kept=True)
    power = raw(book, f"{SISKIN}/family/power.yaml")
    power["parts"]["J1"]["name"] = "another inlet"
    write(book, power, f"{SISKIN}/family/power.yaml")
    assert load_book(book, kept=True).book.families["siskin-12"].parts["J1"].name == "another inlet"


def test_a_revision_that_is_the_same_but_for_three_places_is_a_handful_of_lines(book):
    data = raw(book)
    data["revisions"]["C"] = {"tell": "The letter C stands after the board code.", "like": "B"}
    data["test_points"]["C55"]["at"]["C"] = ["54 mm", "72 mm"]
    data["test_points"]["C61"]["at"]["C"] = ["103 mm", "61 mm"]
    data["test_points"]["C61"]["where"]["C"] = "small capacitor above the controller, upper end"
    write(book, data)
    family = load_book(book).book.families["siskin-12"]
    assert findings(book) == []
    assert family.test_points["C55"].at["C"] == (54.0, 72.0)
    assert family.test_points["J1_TIP"].at["C"] == family.test_points["J1_TIP"].at["B"]
    assert all(set(one.at) == {"A", "B", "C"} for one in family.board.landmarks.values())


def test_words_that_hold_for_all_revisions_stand_once(book):
    data = raw(book)
    words = data["test_points"]["J5_3"]["where"]["A"]
    data["test_points"]["J5_3"]["where"] = words
    write(book, data)
    assert load_book(book).book.families["siskin-12"].test_points["J5_3"].where == {"A": words, "B": words}


def test_a_measurement_part_point_and_net_like_another_one_state_what_differs(book):
    data = raw(book)
    held = data["measurements"]["main-rail-pen-bay-unplugged"]
    long = dict(data["measurements"]["main-rail-adapter"])
    data["measurements"]["main-rail-pen-bay-unplugged"] = {
        "like": "main-rail-adapter",
        **{key: held[key] for key in ("unplugged", "asks")},
        "outcomes": {"commanded": {"means": "The board's own part of the bus works."}},
    }
    data["parts"]["F2"] = {"like": "F1", "name": "pack fuse, 10 A"}
    data["test_points"]["J5_4"] = {"like": "J5_3", "net": "PACK_CLK", "at": data["test_points"]["J5_4"]["at"]}
    data["nets"]["PACK_CLK"] = {"like": "PACK_DATA", "pull": data["nets"]["PACK_CLK"]["pull"]}
    write(book, data)
    loaded = load_book(book)
    assert not loaded.findings
    family = loaded.book.families["siskin-12"]
    made = family.measurements["main-rail-pen-bay-unplugged"]
    assert made.unplugged == tuple(held["unplugged"])
    assert str(made.outcomes["commanded"].range) == long["outcomes"]["commanded"]["range"]
    assert made.outcomes["commanded"].means == "The board's own part of the bus works."
    assert family.parts["F2"].replace == family.parts["F1"].replace
    assert family.test_points["J5_4"].where["A"] == data["test_points"]["J5_3"]["where"]["A"]
    drops = [family.nets[name].junction[0].drop for name in ("PACK_CLK", "PACK_DATA")]
    assert drops[0] == drops[1]


def test_a_fault_like_another_one_takes_what_it_does_not_state(book):
    own = {
        "like": "siskin-12/charger-data-pin-shorted",
        "title": "Charger's data pin leaks",
        "cause": {"mode": "leaks", "ohms": "100 to 400 ohm"},
        "seen": 0,
    }
    write(book, own, f"{SISKIN}/charger-data-pin-leaks.yaml")
    loaded = load_book(book)
    assert not loaded.findings
    made, base = (loaded.book.faults[f"siskin-12/charger-data-pin-{how}"] for how in ("leaks", "shorted"))
    assert (made.cause.part, made.cause.at, made.cause.mode) == ("U12", "PACK_DATA", "leaks")
    assert made.fix.confirm == base.fix.confirm
    assert made.symptom == base.symptom
    assert made.seen == 0


def test_what_is_kept_of_a_fault_knows_the_one_that_it_is_like(book):
    write(book, {"like": "siskin-12/inlet-fuse-open", "title": "Another"}, f"{SISKIN}/another.yaml")
    assert load_book(book, kept=True).book.faults["siskin-12/another"].seen == 5
    base = book / SISKIN / "inlet-fuse-open.yaml"
    base.write_text(base.read_text(encoding="utf-8").replace("seen: 5", "seen: 6"), encoding="utf-8")
    assert load_book(book, kept=True).book.faults["siskin-12/another"].seen == 6


def test_what_was_taken_over_is_wrong_where_it_was_written(book):
    base = book / SISKIN / "inlet-fuse-open.yaml"
    base.write_text(base.read_text(encoding="utf-8").replace("seen: 5", "seen: five"), encoding="utf-8")
    write(book, {"like": "siskin-12/inlet-fuse-open", "title": "Another"}, f"{SISKIN}/another.yaml")
    assert [(f.file, f.rule) for f in load_book(book).findings] == [
        (f"{SISKIN}/inlet-fuse-open.yaml", "wrong-type")
    ]
