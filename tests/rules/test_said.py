"""Numbers, names and counts in what the rules say, where a slip would send somebody to the wrong place."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from benchlore.book import load_book
from benchlore.book.elements import After
from benchlore.book.model import Book, PartUse, Step, frozen_map
from benchlore.diagnosis.case import make_case
from benchlore.findings import Origin, Problem
from benchlore.quantity import parse_quantity
from benchlore.rules import diagnosis, ranges, references, texts
from benchlore.rules.engine import problems
from benchlore.rules.pairs import NAMED, named_and_counted
from tests.rules.fixtures import GOOD

BOOK = load_book(GOOD).book
FAMILY = BOOK.families["wren-5"]
HERE = Origin("x.yaml")


def test_the_percent_of_an_example_that_misleads():
    case = make_case(BOOK, "wren-5", "A")
    fault = BOOK.faults["wren-5/fuse-open"]
    place = case.faults.index("wren-5/rail-short")
    found = diagnosis._misled(case, fault, 0.124, place, 0.876)
    assert found.message == (
        "on revision A the worked example makes this fault 12 % likely, and 'rail-short' 88 %"
    )
    other = diagnosis._misled(case, fault, 0.2, len(case.faults), 0.8)
    assert "'a fault that is not in the book' 80 %" in other.message


@pytest.mark.parametrize(
    ("likely", "first"), [((0.2, 0.5, 0.3), (1, 2)), ((0.4, 0.4, 0.2), (0, 1)), ((0.1, 0.45, 0.45), (1, 2))]
)
def test_of_equals_the_first_is_the_likeliest(likely, first):
    assert diagnosis._ranked(likely).first == first


def test_what_is_outside_the_board_is_left_out():
    case = make_case(BOOK, "wren-5")
    outside = {name for name, one in case.suspects.items() if one.outside}
    even = tuple(1 / (len(case.faults) + 1) for _ in range(len(case.faults) + 1))
    found = diagnosis.on_board(case, even)
    assert outside
    assert sum(found) == pytest.approx(1)
    for name, p in zip((*case.faults, ""), found, strict=True):
        assert p == pytest.approx(0.0 if name in outside else 1 / (len(even) - len(outside)))


@pytest.mark.parametrize(
    ("one", "other", "apart"),
    [
        ((("a", (0.5, 0.5)),), (("a", (1.0, 0.0)),), True),
        ((("a", (0.51, 0.49)),), (("a", (1.0, 0.0)),), False),
        ((("a", (0.0, 1.0)),), (("b", (1.0, 0.0)),), False),
        ((("a", (1.0, 0.0)), ("b", (1.0, 0.0))), (("a", (1.0, 0.0)), ("b", (0.0, 1.0))), True),
        ((), (("a", (1.0, 0.0)),), False),
    ],
)
def test_when_a_measurement_tells_two_faults_apart(one, other, apart):
    """On half of the boards with either: total variation."""
    assert diagnosis._apart(one, other) == diagnosis._apart(other, one) == apart


def test_the_blank_cells_of_two_faults_are_listed_and_counted():
    case = make_case(BOOK, "wren-5")
    fault = BOOK.faults["wren-5/rail-short"]
    bare = replace(fault, id="wren-5/bare", test_points=(), foretold=frozen_map())
    full = replace(fault, foretold=frozen_map())
    count = len({e.measure for e in full.readings})
    assert count == 5
    found = diagnosis._alike(case, full, bare, "dead-on-adapter")
    assert found.mend == (
        "fill a blank cell: 'fused-rail' of 'bare', 'main-heat' of 'bare', 'main-junction' of 'bare', "
        "'main-rail' of 'bare' and 1 others"
    )
    assert found.origin == bare.origin.at("test_points")
    four = replace(full, test_points=full.test_points[:4])
    assert "others" not in diagnosis._alike(case, four, bare, "x").mend
    assert diagnosis._alike(case, bare, four, "x").mend == diagnosis._alike(case, four, bare, "x").mend
    assert diagnosis._alike(case, full, full, "x").mend.startswith("add a measurement")


def test_all_pairs_are_those_that_the_rule_speaks_of(tmp_path: Path):
    """In a book whose faults read the same: each finding of the rule is a pair, and each pair a finding."""
    shutil.copytree(GOOD / "faults", tmp_path / "faults")
    folder = tmp_path / "faults" / "wren-5"
    text = (folder / "rail-short.yaml").read_text(encoding="utf-8")
    for name, part in (("second", "U1"), ("third", "J1")):
        changed = text.replace("part: C1", f"part: {part}").replace("  mode: shorted-to-ground\n", "")
        (folder / f"{name}.yaml").write_text(changed, encoding="utf-8")
    (folder / "rail-short.yaml").write_text(text.replace("  mode: shorted-to-ground\n", ""), encoding="utf-8")
    book = load_book(tmp_path).book
    pairs = diagnosis.pairs_not_told_apart(book, book.families["wren-5"])
    names = {(one.partition("/")[2], other.partition("/")[2]) for one, other, _ in pairs}
    assert names == {("rail-short", "second"), ("rail-short", "third"), ("second", "third")}
    assert {symptom for _, _, symptom in pairs} == {"dead-on-adapter"}
    found = [p.message for p in problems(diagnosis.not_told_apart, book)]
    assert len(found) == len(pairs)
    assert all(any(f"'{a}' and '{b}' both show" in m for m in found) for a, b in names)
    assert diagnosis.pairs_not_told_apart(BOOK, FAMILY) == frozenset()


@pytest.mark.parametrize(("count", "words"), [(NAMED + 2, "1 other fault"), (NAMED + 3, "2 other faults")])
def test_what_is_not_named_is_counted(count, words):
    def make(one: int, other: int) -> Problem:
        return Problem(HERE, f"{other} as {one}", "")

    found = list(named_and_counted(["same"] * count, lambda _: ("all",), lambda *_: True, make))
    last = [p.message for p in found if p.message.endswith((" as 0", words)) or "..." in p.message]
    assert last[-1] == f"... and the same is so with {words}"
    assert sum("..." in p.message for p in found) == count - 1 - NAMED
    few = list(named_and_counted(["same"] * (NAMED + 1), lambda _: ("all",), lambda *_: True, make))
    assert len(few) == NAMED * (NAMED + 1) // 2
    assert not any("..." in p.message for p in few)


def test_an_unknown_state_names_all_places():
    measured = FAMILY.measurements
    for count, also in ((1, ""), (2, ", here and in measurements.main-rail.state")):
        names = list(measured)[:count]
        changed = {**measured, **{name: replace(measured[name], state="nowhere") for name in names}}
        family = replace(FAMILY, measurements=frozen_map(changed))
        (found,) = references.unknown_state.check(book=BOOK, family=family)
        assert found.message == f"'nowhere' is not among the bench states of wren-5{also}"
        assert found.origin == measured[names[0]].origin.at("state")


def test_every_text_of_a_step_is_read():
    uses = (PartUse(part="C1", donor="the donor of C1"), PartUse(part="F1", donor="the donor of F1"))
    fault = BOOK.faults["wren-5/fuse-open"]
    steps = (
        Step(origin=HERE, fit=uses[:1], say="Say it.", if_="if so"),
        Step(origin=HERE, replace=uses),
    )
    book = replace(
        BOOK,
        families=frozen_map(),
        faults=frozen_map({fault.id: replace(fault, fix=replace(fault.fix, steps=steps))}),
    )
    found = {(origin.path, text) for origin, text in texts.texts_of_families(book)}
    assert found >= {
        (("say",), "Say it."),
        (("if",), "if so"),
        (("fit", 0, "donor"), "the donor of C1"),
        (("replace", 0, "donor"), "the donor of C1"),
        (("replace", 1, "donor"), "the donor of F1"),
    }


def every(make: Callable[[Book], Any], book: Book) -> dict[str, tuple[Any, ...]]:
    return {".".join(map(str, origin.path)): tuple(rest) for origin, *rest in make(book)}


def test_every_value_of_a_family_has_its_unit():
    net = replace(
        FAMILY.nets["MAIN"],
        draw=frozen_map({"adapter-only": parse_quantity("1 A")}),
        after=(After(net="VIN", within=parse_quantity("1 s")), After(net="SDA")),
    )
    book = replace(
        BOOK,
        families=frozen_map({"wren-5": replace(FAMILY, nets=frozen_map({**FAMILY.nets, "MAIN": net}))}),
        faults=frozen_map(),
    )
    found = {place: (unit, mode) for place, (_, unit, mode) in every(ranges._values, book).items()}
    assert found["measurements.main-rail.outcomes.healthy.range"] == ("V", "dc-volts")
    assert found["measurements.main-heat.inject.volts"] == ("V", "")
    assert found["measurements.main-heat.inject.limit"] == ("A", "")
    assert found["nets.MAIN.nominal"] == ("V", "")
    assert found["nets.SDA.pull.ohms"] == ("ohm", "")
    assert found["nets.MAIN.draw.adapter-only"] == ("A", "")
    assert [unit for place, (unit, _) in found.items() if place.startswith("nets.MAIN.after")] == ["s"]
    assert not any("socket-look" in place for place in found)
    assert every(ranges._meter_values, BOOK)["handheld.accuracy.ohms.1.up_to"][1:] == ("ohm", "")
    assert every(ranges._meter_values, BOOK)["handheld.accuracy.dc-volts.0.resolution"][1:] == ("V", "")
    assert every(ranges._meter_values, BOOK)["handheld.input_resistance"][1:] == ("ohm", "")
    assert every(ranges._meter_values, BOOK)["handheld.test_current"][1:] == ("A", "")
