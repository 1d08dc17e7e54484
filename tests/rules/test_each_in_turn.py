"""Rules of steps, measurements, places, pictures, names and words: each of several in turn, values at the
very end of what is allowed, and where a finding stands."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from benchlore.book.elements import Delay, Resistor
from benchlore.book.model import Compare, Fault, PartUse, Picture, frozen_map
from benchlore.quantity import parse_quantity
from benchlore.rules import (
    ids,
    measurements,
    pictures,
    places,
    ranges,
    references,
    safety,
    step_values,
    steps,
    wording,
)
from tests.circuit.boards import small_book
from tests.rules.asked import BOOK, FAMILY, problems, said
from tests.rules.test_beside_the_circuit import book_of, expecting, with_measurements
from tests.rules.test_boundaries import FUSE, HERE, OUT, VOLTS, measuring, step, stepping
from tests.rules.test_branches import INJECT, with_net

Q = parse_quantity
LIMITED = {"limit": Q("1 A")}


# Steps.


def use(part: str, value: str = "") -> PartUse:
    return PartUse(part=part, value=Q(value) if value else None)


OHMS = replace(measuring("ohms", "all-off", normal="over 10 ohm"), id="main-ohms")
WITH_OHMS = with_measurements(OHMS)
INTO = step(inject="FUSED", up_to=Q("5 V"), **LIMITED)


@pytest.mark.parametrize(
    ("done", "count"),
    [
        ((INTO,), 1),
        ((step(measure=("main-ohms",)), INTO), 0),
        ((step(measure=("nowhere", "main-ohms")), INTO), 0),
        ((step(measure=("main-junction",)), INTO), 1),  # in diode mode, not in ohms
        ((INTO, step(measure=("main-ohms",))), 1),  # too late
        ((step(inject="FUSED", up_to=Q("3.3 V"), **LIMITED),), 0),  # less than MAIN has anyway
        ((step(inject="FUSED", **LIMITED), INTO), 1),
        ((step(up_to=Q("5 V")), INTO), 1),
        ((INTO, INTO), 2),
        ((step(inject="MAIN", up_to=Q("3.3 V"), **LIMITED),), 0),  # nothing is made of it
    ],
)
def test_what_is_made_of_a_rail_is_measured_before_current_goes_in(done, count) -> None:
    """FUSED makes MAIN, of 3.3 V."""
    fault = stepping(*done)
    found = list(steps._unchecked_core(book_of(WITH_OHMS, fault), WITH_OHMS, fault))
    assert len(found) == count
    assert all(one.message.startswith("5 V into FUSED, from which MAIN (3.4") for one in found)


@pytest.mark.parametrize(
    ("done", "places_"),
    [
        ((step(fit=(use("F1"),)),), []),
        ((step(fit=(use("F1"), use("U1"))),), [("fit", 1, "part")]),
        ((step(replace=(use("U1"), use("C1"))),), [("replace", 0, "part"), ("replace", 1, "part")]),
        ((step(fit=(use("U1"),), say="It has burnt, too."),), []),
        ((step(fit=(use("U1"),), if_="it is burnt, too"),), []),
        ((step(fit=(use("NOBODY"),)),), []),
    ],
)
def test_what_a_fix_takes_is_at_fault(done, places_) -> None:
    found = problems(steps.fit_not_cause, fault=stepping(*done))
    assert [one.origin.path for one in found] == places_
    misspelt = replace(stepping(*done), cause=replace(FUSE.cause, part="F7"))
    assert said(steps.fit_not_cause, fault=misspelt) == []


@pytest.mark.parametrize(
    ("done", "places_"),
    [
        ((step(remove=("F1", "U1")), step(fit=(use("F1"), use("U1")))), []),
        ((step(remove=("F1",)), step(fit=(use("F1"), use("U1")))), [("fit", 1, "part")]),
        ((step(remove=("F1", "U1")), step(fit=(use("F1"),))), [("remove", 1)]),
        ((step(fit=(use("NOBODY"),)),), []),
        ((step(remove=("U1",)), step(program=("F1", "U1")), step(fit=(use("U1"),))), [("program", 1)]),
        ((step(unplug=("J1",)), step(fit=(use("J1"),))), []),
    ],
)
def test_what_comes_off_comes_back(done, places_) -> None:
    found = problems(steps.part_left_off, fault=stepping(*done, action="replace"))
    assert [one.origin.path for one in found] == places_


@pytest.mark.parametrize(
    ("action", "done", "no"),
    [
        ("replace", step(fit=(use("F1"),)), False),
        ("replace", step(replace=(use("F1"),)), False),
        ("replace", step(remove=("F1",)), True),
        ("remove", step(remove=("F1",)), False),
        ("reflow", step(clean=("F1",)), True),
        ("reflow", step(reflow=("F1",)), False),
        ("reflow", step(say="Reflow the fuse."), True),
        ("set", step(look=("F1",)), True),
        ("set", step(say="Let it run empty once."), False),
    ],
)
def test_the_steps_do_what_the_fix_says(action, done, no) -> None:
    assert bool(said(steps.action_without_step, fault=stepping(OUT, done, action=action))) == no


@pytest.mark.parametrize(
    ("before", "sources"),
    [
        ((OUT, step(measure=("fused-rail",))), {"adapter"}),
        ((OUT, step(measure=("main-rail-on-pack", "fused-rail"))), {"adapter"}),
        ((OUT, step(measure=("main-junction",))), set()),
        ((OUT, step(measure=("main-heat", "socket-look"))), set()),
        ((OUT, step(measure=("nowhere",))), set()),
        ((step(measure=("main-heat",)),), {"adapter", "pack"}),
    ],
)
def test_what_a_measurement_leaves_in(before, sources) -> None:
    assert steps.walked(stepping(*before), FAMILY)[1].sources == sources


def test_each_measurement_of_a_step_may_want_a_dead_board() -> None:
    for names in (("fused-rail", "main-junction"), ("nowhere", "main-junction")):
        (found,) = said(steps.work_under_power, fault=stepping(step(measure=names)))
        assert found.startswith("'main-junction' (junction) with")


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ({"absent": 0.98, "healthy": 0.02}, "absent or healthy"),
        ({"absent": 0.981, "healthy": 0.019}, "absent"),
        ({"absent": 1.0}, "absent"),
    ],
)
def test_what_the_fault_reads_instead_is_named(row, told) -> None:
    fault = expecting({"fused-rail": row})
    for names in (("fused-rail",), ("main-rail", "fused-rail"), ("nowhere", "fused-rail")):
        done = replace(fault, fix=replace(fault.fix, steps=(step(measure=names, reads="low"),)))
        assert said(steps.step_reads_otherwise, fault=done) == [
            f"'fused-rail' does not read 'low' with this fault, but '{told}'"
        ]
        for reads in ("healthy", "gone"):
            other = replace(fault, fix=replace(fault.fix, steps=(step(measure=names, reads=reads),)))
            assert said(steps.step_reads_otherwise, fault=other) == []


def test_a_measurement_that_is_not_there_is_another_rule_s() -> None:
    fault = expecting({"nowhere": {"absent": 1.0}})
    done = replace(fault, fix=replace(fault.fix, steps=(step(measure=("nowhere",), reads="low"),)))
    assert said(steps.step_reads_otherwise, fault=done) == []


def test_of_several_verbs_the_second_is_one_too_many() -> None:
    (found,) = problems(steps.step_not_one_action, step=step(unplug=("J1",), remove=("F1",), wash=True))
    assert found.origin.path == ("remove",)
    assert found.message == "'unplug' and 'remove' and 'wash' in one step"


# Values in steps.


def test_the_values_of_a_part() -> None:
    """Of a fuse its resistance, of a divider each resistor, of a delay both; by unit."""
    converter = replace(
        FAMILY.nets["MAIN"].converter[0],
        top=Resistor(part="R1", ohms=Q("31.6 kohm 1%")),
        bottom=Resistor(part="R2", ohms=Q("10 kohm 1%")),
    )
    delay = Delay(
        origin=HERE,
        from_="MAIN",
        ohms=Q("1 kohm 5%"),
        farads=Q("1 uF 20%"),
        threshold=Q("1 V 5%"),
        part=("R3", "C3"),
    )
    pull = replace(FAMILY.nets["SDA"].pull[0], part=("R4", "R5"))
    main = replace(FAMILY.nets["MAIN"], converter=(converter,), delay=(delay,))
    sda = replace(FAMILY.nets["SDA"], pull=(pull,))
    family = replace(FAMILY, nets=frozen_map({**FAMILY.nets, "MAIN": main, "SDA": sda}))

    def values(part: str, unit: str = "ohm") -> list[str]:
        return [one.text for one in step_values._values_of(family, part, unit)]

    assert values("R1") == ["31.6 kohm 1%"]
    assert values("R2") == ["10 kohm 1%"]
    assert values("R3") == values("C3") == ["1 kohm 5%"]
    assert values("C3", "F") == ["1 uF 20%"]
    assert values("R4") == ["2.2 kohm 5%"]
    assert values("R5") == [], "in series with it: whose value it is nobody says"
    assert values("F1") == ["20 mohm 20%"]
    assert values("F1", "V") == values("U1") == values("NOBODY") == []


def test_the_nets_that_a_step_speaks_of() -> None:
    """Of its measurements, of what it injects into, of its parts, and by name."""

    def nets(**fields: Any) -> tuple[str, ...]:
        return step_values._nets_meant(FAMILY, step(**fields))

    assert nets(measure=("fused-rail", "nowhere")) == ("FUSED",)
    assert nets(inject="MAIN") == ("MAIN",)
    assert nets(remove=("J1", "NOBODY")) == ("MAIN", "SDA")
    assert nets(say="Feed vin, then look at Fused.") == ("VIN", "FUSED")
    assert nets(say="The vineyard is mainly green.") == ()
    assert nets(measure=("main-rail",), say="MAIN stands.") == ("MAIN",)


def test_what_is_healthy_for_a_step() -> None:
    """Of its own measurements, if it has some; else of those on its nets, in the unit that is asked."""

    def healthy(unit: str, *nets: str, **fields: Any) -> list[str]:
        return [one.text for one in step_values._healthy(FAMILY, step(**fields), nets, unit)]

    assert healthy("V", "SDA", measure=("fused-rail",)) == ["4.70 to 5.30 V"]
    assert healthy("V", "SDA") == ["3.10 to 3.45 V"] * 2
    assert healthy("degC", "MAIN") == ["under 45 degC"]
    assert healthy("V") == []
    assert healthy("ohm", "MAIN") == []


def test_a_part_of_several_states_the_value_at_its_place() -> None:
    done = step(replace=(use("C1"), use("F1", "30 mohm")))
    (found,) = problems(step_values.contradicted_step_value, fault=stepping(done))
    assert found.origin.path == ("replace", 1, "value")


def test_a_summary_of_a_board_without_volts_is_not_judged() -> None:
    bare = {
        name: replace(net, nominal=None, source=(), path=(), converter=(), pull=())
        for name, net in FAMILY.nets.items()
    }
    family = replace(
        FAMILY, nets=frozen_map({"SDA": replace(bare["SDA"], junction=())}), measurements=frozen_map()
    )
    fault = replace(FUSE, summary="It has 12 V.")
    assert said(step_values.contradicted_summary_value, family=family, fault=fault) == []
    assert said(step_values.contradicted_summary_value, fault=fault)
    read = expecting({"main-rail": {"low": 1.0}})
    low = with_measurements(
        measuring(normal="3.2 to 3.4 V", low="12 to 13 V", lower="14 to 15 V", open="over 16 V")
    )
    for words, no in (("12 V", False), ("14.5 V", True), ("17 V", True)):
        one = replace(read, summary=f"It has {words}.")
        assert bool(said(step_values.contradicted_summary_value, family=low, fault=one)) == no


# Measurements.


def test_what_cannot_be_unplugged_is_told_at_its_place() -> None:
    one = replace(VOLTS, unplugged=("J1", "NOBODY", "U1"))
    (found,) = problems(measurements.cannot_unplug, measurement=one)
    assert found.origin.path[-2:] == ("unplugged", 2)


@pytest.mark.parametrize(
    ("leads", "no"),
    [
        ("", False),
        ("black on ground, red on the point", False),
        ("red on ground, black on the point", False),
        ("black on ground, red on the point; black on ground, red on the point", True),
        ("black on ground, red on the point; red on ground, black on the point", True),
        ("red on ground, black on the point; by the ferrite", False),
    ],
)
def test_how_the_leads_go_is_said_once(leads, no) -> None:
    """Once the function says it."""
    assert bool(said(measurements.leads_said_again, measurement=replace(VOLTS, leads=leads))) == no


@pytest.mark.parametrize(
    ("changes", "at"),
    [
        ({}, None),
        ({"within": 99.9}, None),
        ({"within": 100.0}, ("compare", "within")),
        ({"with_": "TP3"}, ("compare",)),
        ({"with_": "TP9"}, None),
        ({"with_": "TP2"}, ("compare",)),  # itself
        ({"mode": "look"}, ("compare",)),
        ({"between": ("TP3", "TP2")}, ("compare",)),
        ({"steps": {"runs": Q("1 A")}}, ("compare",)),
        ({"inject": INJECT}, ("compare",)),
    ],
)
def test_what_may_be_compared(changes, at) -> None:
    """TP3 in diode mode with TP1, which reads alike."""
    given = {"with_": "TP1", "within": 10.0, **changes}
    compare = Compare(with_=given.pop("with_"), within=given.pop("within"))
    one = replace(VOLTS, **{"at": "TP3", "mode": "junction", "compare": compare, **given})
    if changes.get("with_") == "TP2":
        one = replace(one, at="TP2")
    found = problems(measurements.comparison_tells_nothing, measurement=one)
    assert [p.origin.path[2:] for p in found] == ([at] if at else [])


@pytest.mark.parametrize(
    ("means", "stop", "said_"),
    [
        ("Unplug it at once.", False, "unplug"),
        ("Unplug it at once.", True, ""),
        ("Take out the flat battery now.", False, "take out the flat battery"),
        ("Pull the plug.", False, "pull the plug"),
        ("The plug is pulled out.", False, ""),
        ("It is good.", False, ""),
    ],
)
def test_what_tells_to_unplug_says_stop(means, stop, said_) -> None:
    one = measuring(normal="1 to 2 V", low="under 1 V")
    low = replace(one.outcomes["low"], means=means, stop=stop)
    one = replace(one, outcomes=frozen_map({**one.outcomes, "low": low}))
    found = said(measurements.unplug_without_stop, measurement=one)
    assert found == ([f"'low' tells to {said_}, and lacks 'stop: true'"] if said_ else [])


# A share of the time lies between nothing and 100 %, a comparison above -100 %.
@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("40 to 100 %", 0),
        ("40 to 100.1 %", 1),
        ("100 to 101 %", 1),
        ("over 99 %", 0),
        ("over 100 %", 1),
        ("under 1 %", 0),
        ("0 to 1 %", 0),
        ("-1 to 1 %", 1),
        ("-1 to 101 %", 2),
        ("under 0 %", 1),
    ],
)
def test_a_share_of_the_time_ends_at_one_hundred_percent(text, count) -> None:
    assert len(said(ranges.impossible_reading, measurement=measuring("duty", normal=text))) == count


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("-100 to 10 %", ""),
        ("-101 to 10 %", "'-101 to 10 %' lies below -100, and 'dc-volts' never reads that"),
        ("under -100 %", "'under -100 %' lies below -100, and 'dc-volts' never reads that"),
        ("over 100 %", ""),
    ],
)
def test_a_reading_that_is_compared_lies_above_nothing_of_the_other(text, message) -> None:
    one = replace(measuring(normal=text), compare=Compare(with_="TP1", within=10.0))
    assert said(ranges.impossible_reading, measurement=one) == ([message] if message else [])


def test_the_values_of_a_family_each_with_its_unit() -> None:
    """The settings of an injection, what a net takes and when it starts, too; a level that follows from the
    net above is said there."""
    book, family = small_book(
        "nets:\n"
        "  IN: {source: {from: adapter, volts: 5 V}, nominal: 5 V, draw: {'on': 1 A}}\n"
        "  OUT: {path: {from: IN, ohms: 1 ohm}, after: {IN: 1 to 2 ms}}\n"
    )
    assert family.nets["OUT"].nominal == family.nets["IN"].nominal
    look = replace(next(iter(family.measurements.values())), mode="celsius", inject=INJECT)
    family = replace(family, measurements=frozen_map({look.id: look}))
    book = replace(book, families=frozen_map({family.id: family}), faults=frozen_map())
    found = {".".join(map(str, o.path)): unit for o, _, unit, _ in ranges._values(book)}
    assert {name.partition(".")[2]: unit for name, unit in found.items() if name.startswith("nets")} == {
        "IN.nominal": "V",
        "IN.source.volts": "V",
        "IN.draw.on": "A",
        "OUT.path.ohms": "ohm",
        "OUT.after.IN": "s",
    }
    assert [unit for name, unit in found.items() if ".inject." in name] == ["V", "A"]
    of_finite = {o.path[1:] for o, *_ in ranges._finite(book)}
    assert ("OUT", "nominal") not in of_finite
    assert ("IN", "nominal") in of_finite
    wrong = replace(family.nets["IN"], nominal=Q("5 A"))
    other = replace(family, nets=frozen_map({"IN": wrong}))
    finite = ranges._finite(replace(book, families=frozen_map({family.id: other})))
    assert ("nets", "IN", "nominal") not in {o.path for o, *_ in finite}, "its unit is told"


# A cell that is soldered in.


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"mode": "ohms"}, "mode"),
        ({"mode": "junction"}, "mode"),
        ({"mode": "dc-volts"}, ""),
        ({"mode": "celsius", "inject": INJECT}, "inject"),
        ({"mode": "ohms", "unplugged": ("BT9",)}, ""),
        ({"mode": "ohms", "at": "TP1"}, ""),
    ],
)
def test_what_keeps_off_a_soldered_cell(changes, key) -> None:
    cell = replace(FAMILY.nets["VIN"].source[0], from_="clock-cell", built_in=True, part=("BT9",))
    family = with_net("SDA", kind="rail", source=(cell,), pull=())
    one = replace(measuring("ohms", "all-off", normal="over 1 ohm"), at="TP3", id="one")
    one = replace(one, **changes)
    family = with_measurements(one, family=family)
    told = {"family": family, "measurement": family.measurements["one"]}
    found = problems(safety.measured_on_live_cell, **told)
    assert [p.origin.path[-1] for p in found] == ([key] if key else [])
    assert all(p.message.startswith("clock-cell, which is soldered in, holds SDA up") for p in found)


# Places and pictures.


def test_a_part_has_a_place_where_its_side_and_its_millimetres_are_known() -> None:
    at = frozen_map({"A": (1.0, 1.0), "B": (1.0, 1.0)})

    def placed(**changed: Any) -> list[str]:
        part = replace(FAMILY.parts["C1"], **changed)
        return [name for name, *_ in places._places(replace(FAMILY, parts=frozen_map({"C1": part})))]

    others = ["barrel jack", "TP1", "TP2", "TP3"]
    assert placed() == placed(side="top") == placed(at=at) == others
    assert placed(side="top", at=at) == [*others, "C1"]


def test_the_revisions_that_a_place_lacks_are_named() -> None:
    point = replace(FAMILY.test_points["TP1"], at=frozen_map(), where=frozen_map({"A": "here"}))
    family = replace(FAMILY, test_points=frozen_map({"TP1": point}))
    found = problems(places.place_missing, family=family)
    assert [one.message for one in found] == [
        "'TP1' says nothing of revision A and B",
        "'TP1' says nothing of revision B",
    ]
    assert [one.mend for one in found] == [
        "add 'A:' and 'B:' with a place, such as '[41 mm, 63 mm]'",
        "add 'B:' with words that say where",
    ]


def test_what_is_not_known_in_the_words_of_a_place_ends_nothing() -> None:
    """The jack's middle lies at 95 mm, 50 mm on A: TP1 at 80 mm is not right of it."""
    point = FAMILY.test_points["TP1"]
    words = "pad left of the moon, right of the barrel jack"
    one = replace(point, where=frozen_map({"A": words, "B": words}))
    found = problems(places.place_against_words, point=one)
    assert [p.origin.path[-1] for p in found] == ["A", "B"]
    nowhere = replace(one, at=frozen_map({"B": point.at["B"]}))
    found = problems(places.place_against_words, point=nowhere)
    assert [p.origin.path[-1] for p in found] == ["B"], "on A it has no place"
    jack = replace(FAMILY.board.landmarks["barrel jack"], at=frozen_map({"B": (95.0, 10.0)}))
    family = replace(FAMILY, board=replace(FAMILY.board, landmarks=frozen_map({"barrel jack": jack})))
    assert len(said(places.place_against_words, family=family, point=one)) == 1


PICTURES = {
    "faults/wren-5/pictures/a.png": SimpleNamespace(trouble="", mend=""),
    "faults/wren-5/pictures/b.png": SimpleNamespace(trouble="is torn", mend="take it anew"),
    "faults/wren-5/pictures/c.svg": SimpleNamespace(trouble="", mend=""),
    "faults/finch-2/pictures/d.png": SimpleNamespace(trouble="", mend=""),
}


@pytest.mark.parametrize(
    ("file", "unknown", "unusable"),
    [
        ("a.png", "", ""),
        ("b.png", "", "'b.png' is torn"),
        ("c.svg", "", "'c.svg' is"),
        ("e.svg", "", "'e.svg' is"),  # one finding is enough
        ("d.png", "'d.png' is not among the pictures of wren-5", ""),
        ("e.png", "'e.png' is not among the pictures of wren-5", ""),
    ],
)
def test_a_picture_is_there_and_can_be_shown(file, unknown, unusable) -> None:
    shown = (Picture(origin=HERE, file=file, shows="So."),)
    bare = {name: replace(part, pictures=()) for name, part in FAMILY.parts.items()}
    point = replace(FAMILY.test_points["TP1"], pictures=shown)
    on_part = replace(FAMILY, parts=frozen_map({**bare, "F1": replace(bare["F1"], pictures=shown)}))
    on_point = replace(FAMILY, parts=frozen_map(bare), test_points=frozen_map({"TP1": point}))
    known: Any = frozen_map(PICTURES)
    book = replace(BOOK, pictures=known)
    for family in (on_part, on_point):
        for rule, begins in ((pictures.unknown_picture, unknown), (pictures.unusable_picture, unusable)):
            found = said(rule, book=book, family=family)
            assert len(found) == bool(begins), found
            assert not begins or found[0].startswith(begins)
        unused = problems(pictures.unused_picture, book=book, family=family)
        own = {"a.png", "b.png", "c.svg"}
        assert {one.origin.file.rpartition("/")[2] for one in unused} == own - {file}


# Names.


def test_the_outcomes_that_a_fault_names() -> None:
    fault = expecting({"fused-rail": {"absent": 1.0}, "main-rail": {"absent": 0.5, "low": 0.5}})
    look = {"socket-look": "green", "main-rail": "3.3 V", "nowhere": "x"}
    done = (step(measure=("main-rail", "sda-level"), reads="healthy"), step(measure=("fused-rail",)))
    fix = replace(fault.fix, confirm=frozen_map({"fused-rail": "healthy"}), steps=done)
    fault = replace(fault, worked_example=frozen_map(look), fix=fix)
    named = [(measure, name, on_key) for _, measure, name, on_key in references._outcome_names(BOOK, fault)]
    assert named == [
        ("fused-rail", "absent", False),
        ("main-rail", "absent", True),
        ("main-rail", "low", True),
        ("fused-rail", "healthy", False),
        ("main-rail", "healthy", False),
        ("sda-level", "healthy", False),
        ("socket-look", "green", False),
    ]
    paths = [origin.path[-1] for origin, *_ in references._outcome_names(BOOK, fault)][:3]
    assert paths == ["expected_reading", "absent", "low"]
    none = replace(BOOK, families=frozen_map())
    assert len(list(references._outcome_names(none, fault))) == 6, "of what a look shows nothing is known"


def test_a_test_point_is_no_measurement() -> None:
    fault = expecting({"TP1": {"absent": 1.0}})
    fault = replace(fault, worked_example=frozen_map())
    (found,) = problems(references.unknown_measurement, fault=fault)
    assert found.mend == "'TP1' is a test point; measured there: fused-rail"
    other = replace(expecting({"TP99": {"absent": 1.0}}), worked_example=frozen_map())
    (found,) = problems(references.unknown_measurement, fault=other)
    assert "is a test point" not in found.mend
    between = with_measurements(replace(VOLTS, id="drop", at="TP3", between=("TP3", "TP1")))
    (found,) = problems(references.unknown_measurement, book=book_of(between), fault=fault)
    assert found.mend == "'TP1' is a test point; measured there: fused-rail, drop"


@pytest.mark.parametrize(
    ("changes", "at", "mend"),
    [
        ({"at": "MAIN"}, ("at",), "'MAIN' is a net; its test points: TP2"),
        ({"at": "VIN"}, ("at",), ""),
        ({"at": "F1"}, ("at",), "'F1' is a part, and a probe needs a point: TP1"),
        ({"at": "C9"}, ("at",), ""),
        ({"at": "TP1", "between": ("TP1", "MAIN")}, ("between", 1), "'MAIN' is a net; its test points: TP2"),
        ({"compare": Compare(with_="MAIN", within=5.0)}, ("compare", "with"), "'MAIN' is a net"),
        ({"at": "MAIN", "compare": Compare(with_="TP1", within=5.0)}, ("at",), "'MAIN' is a net"),
    ],
)
def test_where_a_measurement_is_taken(changes, at, mend) -> None:
    (found,) = problems(references.unknown_test_point, measurement=replace(VOLTS, **changes))
    assert found.origin.path[2:] == at
    assert found.mend.startswith(mend) if mend else "its test points" not in found.mend


def test_a_bench_state_that_is_missing_is_told_once_with_all_its_places() -> None:
    one, two = (
        replace(VOLTS, id=name, state="nowhere", origin=replace(HERE, path=("m", name))) for name in "ab"
    )
    (found,) = problems(references.unknown_state, family=with_measurements(one, two))
    assert found.message == "'nowhere' is not among the bench states of wren-5, here and in m.b.state"
    (found,) = problems(references.unknown_state, family=with_measurements(one))
    assert found.message == "'nowhere' is not among the bench states of wren-5"
    left = {name: state for name, state in FAMILY.states.items() if name != "pack-only"}
    (found,) = problems(references.unknown_state, family=replace(FAMILY, states=frozen_map(left)))
    assert found.mend == "add it to 'states'", "a common one"
    family = replace(with_measurements(one), states=frozen_map({**FAMILY.states, "cradel": None}))
    (found,) = problems(references.unknown_state, family=family)
    assert found.origin.path == ("states", 3), "what is said of the others may follow from that"


def test_a_meter_is_asked_for_where_the_shop_could_be_read() -> None:
    shop = replace(BOOK.shop, default_meter="nobody")
    assert said(references.unknown_meter, book=replace(BOOK, shop=shop))
    assert said(references.unknown_meter, book=replace(BOOK, shop=replace(shop, title=""))) == []
    assert said(references.unknown_meter) == []


def test_the_names_that_a_site_keeps_for_itself() -> None:
    """Of a family its folders, of a fault the pages of a family, of a common record the list of its kind; of
    a net, a part and a bench state of the family's own none."""
    own = replace(BOOK.states["all-off"], id="own", origin=FAMILY.origin)
    family = replace(FAMILY, states=frozen_map({**FAMILY.states, "own": own}))
    book = book_of(family)
    taken = {name: sorted(kept) for _, name, kept in ids._names(book)}
    assert set(taken) == {
        family.id,
        *family.nets,
        *family.parts,
        "own",
        *(fault.name for fault in BOOK.faults.values()),
    }
    assert {"symptoms", "search", "book", "data"} <= set(taken[family.id])
    assert {"index", "nets", "parts", "states", "walk", "walk-sheet"} == set(taken["fuse-open"])
    assert taken["MAIN"] == taken["F1"] == taken["own"] == []
    shared = {name: sorted(kept) for _, name, kept in ids._shared_names(BOOK)}
    kinds = (BOOK.symptoms, BOOK.hazards, BOOK.meters, BOOK.states, BOOK.techniques)
    assert set(shared) == {name for kind in kinds for name in kind}
    assert all(kept == ["index"] for kept in shared.values())
    assert ids.reserved_fault("nets") == "the site has a page of its own named 'nets'"
    assert ids.reserved_fault("aux") == "Windows allows no file named 'aux'"
    assert ids.reserved_fault("fuse-open") == ""


# Words.


@pytest.mark.parametrize(
    ("name", "title", "no"),
    [
        ("bus latch", "The bus hangs", False),  # three letters are a word
        ("bu latch", "The bu hangs", True),  # two are none
        ("converter", "Converters dead", False),  # by the first five letters
        ("converter", "Conversion lost", False),
        ("converter", "Convoy lost", True),
    ],
)
def test_words_are_compared_by_their_first_letters(name, title, no) -> None:
    part = replace(FAMILY.parts["F1"], name=name, kind="ic")
    family = replace(
        FAMILY, parts=frozen_map({"F1": part}), nets=frozen_map({"SDA": replace(FAMILY.nets["SDA"], pull=())})
    )
    fault: Fault = replace(FUSE, title=title)
    assert bool(said(wording.title_without_part, book=book_of(family, fault), fault=fault)) == no


def test_the_first_hazard_in_the_wrong_place_is_named() -> None:
    signals = {"a": "danger", "b": "notice", "c": "caution", "d": "warning"}
    one = next(iter(BOOK.hazards.values()))
    known = {name: replace(one, id=name, signal=signal) for name, signal in signals.items()}
    book = replace(BOOK, hazards=frozen_map(known))
    (found,) = problems(wording.hazards_out_of_order, book=book, origin=HERE, names=tuple(known))
    assert found.message == "'b' (notice) stands before a more serious hazard"
    assert found.mend == "write [a, d, c, b]"


@pytest.mark.parametrize(
    ("text", "path", "no"),
    [
        ("TODO", (), True),
        ("todo", (), True),
        ("todo", ("said_in", "es", 0), False),  # a word of Spanish
        ("TODO", ("said_in", "es", 0), True),
        ("To be done", ("said_in", "es", 0), True),
        ("all is well", (), False),
    ],
)
def test_what_still_waits_to_be_written(text, path, no) -> None:
    assert bool(said(wording.placeholder_left, origin=replace(HERE, path=path), text=text)) == no


def test_each_fault_has_its_tell_where_one_has() -> None:
    plain = [
        replace(f, test_points=tuple(replace(p, note="So.") for p in f.test_points))
        for f in BOOK.faults.values()
    ]
    telling = [replace(f, test_points=(replace(f.test_points[0], note="The tell: so."),)) for f in plain]
    for tells in range(len(plain) + 1):
        faults = [*telling[:tells], *plain[tells:]]
        found = problems(wording.no_tell, book=book_of(FAMILY, *faults))
        assert [one.origin for one in found] == [f.origin for f in plain[tells:] if tells]


def test_part_numbers_are_looked_for_outside_of_sources_and_names() -> None:
    """Of standards a source speaks; what the book calls so is its own."""
    technique = BOOK.techniques["hot-air-rework"]
    texts: dict[str, Any] = {"source": "As ABC1234 says.", "summary": "Take XYZ9876, or DEF5555."}
    hazard = replace(BOOK.hazards["burn"], source="As ABC1234 says.", harm="Burns as GHI2222 does.")
    book = replace(
        BOOK,
        techniques=frozen_map({technique.id: replace(technique, **texts)}),
        hazards=frozen_map({"burn": hazard}),
    )
    part = replace(FAMILY.parts["C1"], id="DEF5555")
    family = replace(FAMILY, parts=frozen_map({"DEF5555": part}))
    noted = wording._like_part_numbers(replace(book, families=frozen_map({family.id: family})))
    words = [word for word, *_ in noted[1]]
    assert {"XYZ9876", "GHI2222"} <= set(words)
    assert "ABC1234" not in words
    assert "DEF5555" not in words
    assert {"DEF5555", "MAIN", "TP1"} <= set(noted[0])
    one = [[], [["XYZ9876", "a.yaml", ["summary"]], ["DEF5555", "b.yaml", ["summary"]]]]
    found = list(wording.part_number_named.check(seen=[one, [["DEF5555"], []]]))
    assert [p.origin.file for p in found] == ["a.yaml"], "a part of another family"
