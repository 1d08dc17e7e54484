"""A name or a unit is that one alone: one that sorts before it and one that sorts behind are others; so is a
part of a set, or the whole of which it is a part."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from benchlore.book.elements import Delay
from benchlore.book.model import Compare, Measurement, Step, Symptom, frozen_map
from benchlore.quantity import parse_quantity
from benchlore.rules import (
    diagnosis,
    duplicates,
    elements,
    healthy,
    ids,
    measurements,
    places,
    proof,
    ranges,
    references,
    safety,
    step_values,
    steps,
    unused,
    waivers,
    wording,
)
from benchlore.rules.engine import _by_family, common_of
from benchlore.rules.rule import rule
from benchlore.rules.subjects import NET
from benchlore.rules.waivers import Waiver
from benchlore.vocabulary import VERBS
from tests.circuit.boards import small_book
from tests.rules.asked import BOOK, FAMILY, problems, said
from tests.rules.test_beside_the_circuit import BUS, below, book_of, expecting, upper, with_measurements
from tests.rules.test_between_faults import FAULTS, silent
from tests.rules.test_boundaries import (
    EMPTY,
    FUSE,
    HERE,
    OUT,
    PACKED,
    VOLTS,
    element,
    measuring,
    step,
    stepping,
)
from tests.rules.test_branches import INJECT, SHORT, across, with_net

Q = parse_quantity
LINES = (
    "clock",
    "control",
    "data",
    "screen",
)  # what a net may be beside a rail, and a kind that is not yet there


# Kinds of nets and of meter functions.


@pytest.mark.parametrize("kind", LINES)
def test_only_a_rail_is_a_rail(kind: str) -> None:
    line = with_net("MAIN", kind=kind)
    told: dict[str, Any] = {"book": book_of(line), "family": line}
    high = measuring(normal="3.2 to 3.4 V", high="over 3.4 V")
    assert said(measurements.over_range_without_stop, measurement=high)
    assert not said(measurements.over_range_without_stop, measurement=high, **told)
    inject = replace(VOLTS, inject=replace(INJECT, volts=Q("0.6 V")))
    assert not said(safety.injection_too_high, measurement=inject)
    assert said(safety.injection_too_high, measurement=inject, **told), "its clamps feed from half a volt on"
    done = stepping(step(inject="MAIN", limit=Q("1 A"), up_to=Q("0.1 V")))
    assert not said(steps.unsafe_injection_step, fault=done)
    assert said(steps.unsafe_injection_step, fault=done, **told)
    fix = replace(SHORT.fix, confirm=frozen_map({"main-rail": "healthy"}))
    fault = replace(SHORT, fix=fix)
    assert said(proof.power_before_ohms, fault=fault)
    assert not said(proof.power_before_ohms, fault=fault, **told)
    fused = with_net("FUSED", kind=kind)
    assert not below(upper(a="under 1 V"), measuring(b="1 to 5 V"), family=fused)


@pytest.mark.parametrize("mode", ["ac-ripple", "amps", "hertz", "ohms", "seconds"])
def test_only_volts_are_volts(mode: str) -> None:
    other = replace(measuring(normal="3.2 to 3.4 V", high="over 3.4 V"), mode=mode)
    assert not said(measurements.over_range_without_stop, measurement=other)
    assert not below(upper(a="under 1 V"), replace(measuring(b="1 to 5 V"), mode=mode))
    assert not below(replace(upper(a="under 1 V"), mode=mode), measuring(b="1 to 5 V"))
    swing = replace(measuring(mode, normal="9 to 10 V"), at="TP3", net="SDA")
    assert not said(healthy.swing_beyond_supply, measurement=swing)
    compare = replace(VOLTS, mode=mode, compare=compared_with("TP1"))
    found = said(measurements.comparison_tells_nothing, measurement=compare)
    assert not any("stands at" in one for one in found), "5 V and 3.3 V say nothing of it"
    steps_ = {"one": Q("1 to 2 V"), "two": Q("3 to 4 V")}
    climbing = replace(VOLTS, mode=mode, steps=frozen_map(steps_))
    assert bool(said(measurements.steps_out_of_order, measurement=climbing)) == (mode != "amps")


def compared_with(with_: str) -> Any:
    return Compare(with_=with_, within=10.0)


@pytest.mark.parametrize(
    ("mode", "no"),
    [("ac-ripple", False), ("ohms", False), ("hertz", False), ("celsius", True), ("amps", False)],
)
def test_what_ends_the_work_beside_volts_is_heat(mode, no) -> None:
    warm = replace(measuring("celsius", normal="20 to 45 degC", hot="over 45 degC"), mode=mode)
    assert bool(said(measurements.over_range_without_stop, measurement=warm)) == no


@pytest.mark.parametrize(
    ("mode", "taken"), [("junction", False), ("ohms", True), ("seconds", False), ("period", False)]
)
def test_ohms_are_what_is_measured_before_current_goes_in(mode, taken) -> None:
    family = with_measurements(replace(measuring(mode, "all-off", normal="over 10 ohm"), id="one"))
    fault = stepping(step(measure=("one",)), step(inject="FUSED", up_to=Q("5 V"), limit=Q("1 A")))
    assert bool(list(steps._unchecked_core(book_of(family, fault), family, fault))) != taken


def test_a_look_needs_neither_power_nor_its_absence() -> None:
    """Beside what is measured with the power on, and what with the power off."""
    look = replace(FAMILY.measurements["socket-look"], id="look", at="TP2", state="adapter-only")
    family = with_measurements(look)
    left = steps.walked(stepping(OUT, EMPTY, step(measure=("look",))), family)[1]
    assert left.sources == {"adapter"}, "it is looked at as the bench state has it"
    loaded = replace(look, under=("load",))
    assert not said(measurements.condition_without_power, measurement=loaded, family=family)
    cell = replace(FAMILY.nets["VIN"].source[0], from_="clock-cell", built_in=True)
    live = with_net("SDA", source=(cell,), pull=())
    seen = with_measurements(replace(look, at="TP3"), family=live)
    assert not said(safety.measured_on_live_cell, family=seen, measurement=seen.measurements["look"])
    only = replace(FAMILY, measurements=frozen_map({"look": look, VOLTS.id: VOLTS}))
    fix = replace(SHORT.fix, confirm=frozen_map({"main-rail": "healthy"}))
    fault = replace(SHORT, fix=fix)
    assert not said(proof.power_before_ohms, book=book_of(only), fault=fault), "it has no ohms to measure"


# Bench states, parts, points and nets.


@pytest.mark.parametrize(
    ("one", "other", "no"),
    [
        ({}, {}, True),
        ({"unplugged": ("J1",)}, {}, False),
        ({}, {"unplugged": ("J1",)}, False),
        ({"unplugged": ("J1",)}, {"unplugged": ("J1",)}, True),
        ({"unplugged": ("J1",)}, {"unplugged": ("J1", "J2")}, False),
        ({"unplugged": ("J1", "J2")}, {"unplugged": ("J2", "J1")}, True),
        ({"state": "pack-only"}, {}, False),
        ({}, {"state": "pack-only"}, False),
        ({"state": "all-off"}, {}, False),
        ({}, {"state": "all-off"}, False),
    ],
)
def test_what_is_dead_in_one_set_up_may_be_up_in_another(one, other, no) -> None:
    """All is made of FUSED alone here, in every bench state."""
    main = FAMILY.nets["MAIN"]
    family = with_net("MAIN", converter=(replace(main.converter[0], in_=()),))
    found = below(
        replace(upper(a="under 1 V"), **one), replace(measuring(b="1 to 5 V"), **other), family=family
    )
    assert bool(found) == no


@pytest.mark.parametrize("order", [("TP1", "TP3"), ("TP3", "TP1")])
def test_two_points_are_in_one_place_on_one_side_alone(order) -> None:
    one, other = (FAMILY.test_points[name] for name in order)

    def twice(side: Any, other_side: Any, at: tuple[float, float], there: tuple[float, float]) -> bool:
        points = {
            "P": replace(one, side=side, at=frozen_map({"A": at})),
            "Q": replace(other, side=other_side, at=frozen_map({"A": there})),
        }
        return bool(said(places.same_place, family=replace(FAMILY, test_points=frozen_map(points))))

    assert twice("top", "top", (5.0, 5.0), (5.0, 5.0))
    assert not twice("top", "bottom", (5.0, 5.0), (5.0, 5.0))
    assert not twice("bottom", "top", (5.0, 5.0), (5.0, 5.0))
    assert not twice("top", "top", (5.0, 5.0), (5.0, 6.0))
    assert not twice("top", "top", (5.0, 6.0), (5.0, 5.0))


@pytest.mark.parametrize(("side", "other"), [("top", "bottom"), ("bottom", "top")])
def test_a_landmark_is_one_of_its_own_side(side, other) -> None:
    jack = replace(FAMILY.board.landmarks["barrel jack"], side=side)
    family = replace(FAMILY, board=replace(FAMILY.board, landmarks=frozen_map({"barrel jack": jack})))
    assert places._landmark(family, "jack", side) is jack
    assert places._landmark(family, "jack", other) is None


@pytest.mark.parametrize(("at", "between"), [("TP2", ("TP1", "TP3")), ("TP1", ("TP2", "TP3"))])
def test_a_reading_between_two_points_is_at_the_first(at, between) -> None:
    one = replace(VOLTS, between=between)
    assert said(measurements.leads_misstated, measurement=replace(one, at=at)) == [
        "'at' stands beside 'between'"
    ]
    assert said(measurements.leads_misstated, measurement=replace(one, at=between[0])) == []


def test_two_measurements_are_one_whichever_stands_first() -> None:
    every: tuple[dict[str, Any], ...]
    every = ({}, {"at": "TP3"}, {"at": "TP1"}, {"state": "all-off"}, {"state": "pack-only"})
    for changes in every:
        other = replace(VOLTS, id="other", **changes)
        for pair in ((VOLTS, other), (other, VOLTS)):
            family = replace(FAMILY, measurements=frozen_map({one.id: one for one in pair}))
            assert bool(said(measurements.same_measurement, family=family)) == (not changes)


@pytest.mark.parametrize("names", [("TP1", "TP3"), ("TP3", "TP1"), ("TP1", "TP2"), ("TP2", "TP1")])
def test_two_points_of_one_net_alone_always_read_alike(names) -> None:
    one = replace(VOLTS, mode="junction", at=names[0], compare=compared_with(names[1]))
    assert said(measurements.comparison_tells_nothing, measurement=one) == []
    points = dict(FAMILY.test_points)
    points[names[1]] = replace(points[names[1]], net=points[names[0]].net)
    family = replace(FAMILY, test_points=frozen_map(points))
    assert said(measurements.comparison_tells_nothing, measurement=one, family=family)


@pytest.mark.parametrize("net", ["MAIN", "PACK", "VIN"])
def test_only_a_reading_of_its_own_agrees_with_a_net(net) -> None:
    """FUSED and PACK stand on either side of MAIN."""
    given = replace(FAMILY.nets["MAIN"], converter=FAMILY.nets["MAIN"].converter[:1], nominal=Q("6 V"))
    family = with_net("MAIN", converter=given.converter, nominal=given.nominal)
    point = replace(FAMILY.test_points["TP2"], net=net)
    family = replace(
        family,
        test_points=frozen_map({"TP2": point}),
        measurements=frozen_map({VOLTS.id: measuring(normal="5.5 to 6.5 V")}),
    )
    main = family.nets["MAIN"]
    (found,) = problems(healthy.contradicted_nominal, book=book_of(family), family=family, net=main)
    assert (found.origin == main.converter[0].origin) == (net == "MAIN")


def test_the_names_of_elements_are_parts_or_nets() -> None:
    family = replace(FAMILY, nets=frozen_map({name: FAMILY.nets[name] for name in ("FUSED", "MAIN", "SDA")}))
    parts = [name for _, name in references._named_by_elements(family, "part")]
    nets = [name for _, name in references._named_by_elements(family, "net")]
    assert parts == ["F1", "U1", "U1"]
    assert nets == ["VIN", "FUSED", "PACK", "MAIN"]


@pytest.mark.parametrize("part", ["J1", "R1"])
def test_what_is_unplugged_is_a_pack_where_it_is_one(part) -> None:
    """An accessory sorts before it, a resistor behind."""
    kept = steps.walked(stepping(step(unplug=(part,))), PACKED)[1]
    assert kept.sources == {"adapter", "pack"}
    assert steps.walked(stepping(step(unplug=("BT1",))), PACKED)[1].sources == {"adapter"}
    reading = replace(FUSE.test_points[0], expected_reading=frozen_map({"absent": 1.0}))
    done = (step(unplug=(part,)), step(measure=(reading.measure,), reads="low"))
    fault = replace(stepping(*done), test_points=(reading,), foretold=frozen_map())
    assert not said(steps.step_reads_otherwise, fault=fault, family=PACKED)


@pytest.mark.parametrize(
    ("with_", "wet"),
    [("alcohol", True), ("board-cleaner", True), ("brush", False), ("water", True), (None, True)],
)
def test_only_a_dry_brush_leaves_a_board_dry(with_, wet) -> None:
    assert steps.walked(stepping(step(clean=("J1",), with_=with_)), FAMILY)[1].wet is wet


# What the steps of a fix make of its action.


MADE_BY = {
    "replace": {"fit", "replace"},
    "reflow": {"reflow"},
    "remove": {"remove"},
    "clean": {"clean", "wash"},
    "reseat": {"plug"},
    "reprogram": {"program"},
    "set": {"set"},
    "jumper": set[str](),
}


@pytest.mark.parametrize("action", MADE_BY)
def test_what_makes_a_fix(action: str) -> None:
    use = FUSE.fix.parts[0]
    fields: dict[str, Any] = {
        "fit": (use,),
        "replace": (use,),
        "wash": True,
        "discharge": Q("1 s"),
        "inject": "MAIN",
    }
    for verb in VERBS:
        key = f"{verb}_" if verb in ("try", "set") else verb
        quantity = verb in ("wait", "dry")
        one: Step = step(**{key: fields.get(verb, Q("1 s") if quantity else ("F1",))})
        no = bool(MADE_BY[action]) and verb not in MADE_BY[action]
        assert bool(said(steps.action_without_step, fault=stepping(one, action=action))) == no, verb


@pytest.mark.parametrize("action", ["replace", "reflow", "clean", "reseat", "jumper"])
def test_only_a_fix_that_removes_leaves_a_part_off(action) -> None:
    done = stepping(step(remove=("F1",)), action=action)
    assert said(steps.part_left_off, fault=done)
    assert not said(steps.part_left_off, fault=stepping(step(remove=("F1",)), action="remove"))


@pytest.mark.parametrize("action", ["reflow", "remove", "reprogram", "reseat", "clean"])
def test_only_what_is_replaced_takes_the_minutes_of_its_part(action) -> None:
    use = FUSE.fix.parts[0]
    fix = replace(FUSE.fix, action=action, minutes=1.0, steps=(step(replace=(use,)),))
    assert said(proof.fix_faster_than_part, fault=replace(FUSE, fix=fix)) == []


# Units.


@pytest.mark.parametrize("unit", ["A", "F", "Hz", "V", "ohm", "s"])
def test_a_value_of_another_unit_is_not_judged_as_one_of_its_own(unit: str) -> None:
    """That its unit is wrong is said by itself."""
    value = f"6 {unit}"
    exact = element("VIN", "source", volts=value)
    assert bool(said(elements.no_tolerance, element=exact)) == (unit == "V")
    path = element("FUSED", "path", rating="1 A", load=f"0 to 6 {unit}")
    assert bool(said(elements.rating_below_load, element=path)) == (unit == "A")
    path = element("FUSED", "path", rating=f"1 {unit}", load="0 to 6 A")
    assert bool(said(elements.rating_below_load, element=path)) == (unit == "A")
    one = measuring(a="1 to 3 V", normal=f"2 to 5 {unit}")
    assert bool(said(ranges.outcomes_overlap, measurement=one)) == (unit == "V")
    turned = measuring(a=f"2 to 5 {unit}", normal="1 to 3 V")
    assert bool(said(ranges.outcomes_overlap, measurement=turned)) == (unit == "V")
    done = stepping(step(inject="MAIN", limit=Q(value), up_to=Q("1 V")))
    assert bool(said(steps.unsafe_injection_step, fault=done)) == (unit == "A")
    inject = replace(INJECT, limit=Q(value))
    assert bool(said(safety.unsafe_injection, measurement=replace(VOLTS, inject=inject))) == (unit == "A")
    inject = replace(INJECT, volts=Q(value))
    assert not said(safety.unsafe_injection, measurement=replace(VOLTS, inject=inject))
    told = {"origin": HERE, "value": Q(value), "unit": "V", "mode": ""}
    assert bool(said(ranges.wrong_unit, **told)) == (unit != "V")


@pytest.mark.parametrize("unit", ["A", "F", "Hz", "V", "ohm", "s"])
def test_arithmetic_is_done_with_values_of_their_unit(unit: str) -> None:
    vin = with_net("VIN", nominal=Q(f"5 {unit}"), source=(element("VIN", "source", volts=f"5 {unit}"),))
    paths = {o.path for o, *_ in ranges._finite(replace(book_of(vin), faults=frozen_map()))}
    assert (("nets", "VIN", "nominal") in paths) == (unit == "V")
    assert (("nets", "VIN", "source", "volts") in paths) == (unit == "V")
    cause = replace(FUSE.cause, origin=HERE, ohms=Q(f"5 {unit}"), volts=Q(f"5 {unit}"))
    bare = replace(BOOK, families=frozen_map(), faults=frozen_map({FUSE.id: replace(FUSE, cause=cause)}))
    found = {o.path[-1] for o, *_ in ranges._finite(bare)}
    assert found == {"ohms" for _ in (1,) if unit == "ohm"} | {"volts" for _ in (1,) if unit == "V"}
    meter = next(iter(BOOK.meters.values()))
    values: dict[str, Any] = dict.fromkeys(
        ("input_resistance", "test_current", "open_voltage"), Q(f"5 {unit}")
    )
    book = replace(BOOK, meters=frozen_map({meter.id: replace(meter, **values)}))
    right = {"ohm": "input_resistance", "A": "test_current", "V": "open_voltage"}
    assert {o.path[-1] for o, *_ in ranges._finite_of_meters(book)} == (
        {right[unit]} if unit in right else set()
    )


@pytest.mark.parametrize(
    ("text", "unit"), [("5 A", "s"), ("5 V", "s"), ("5 min", "min"), ("5 ohm", "s"), ("5 s", "s")]
)
def test_only_minutes_are_minutes(text, unit) -> None:
    assert [found[2] for found in ranges._of_steps([step(wait=Q(text))])] == [unit]


def test_a_value_in_words_is_held_to_values_of_its_unit() -> None:
    ohms = replace(measuring("ohms", "all-off", normal="20 to 40 ohm"), id="main-rail")
    (first, *_) = FUSE.test_points
    for note, measurement, no in (
        ("A healthy one reads 9 V.", ohms, False),
        ("A healthy one reads 9 ohm.", ohms, True),
        ("A healthy one reads 9 ohm.", VOLTS, False),
        ("A healthy one reads 9 V.", VOLTS, True),
    ):
        fault = replace(FUSE, test_points=(replace(first, measure="main-rail", note=note),))
        family = with_measurements(measurement)
        assert bool(said(step_values.contradicted_note_value, fault=fault, family=family)) == no
    for summary, no in (("It has 0.02 V.", True), ("It has 0.7 V.", True), ("It has 3.3 V.", False)):
        # 20 mohm are on this board, and up to 1 A.
        assert bool(said(step_values.contradicted_summary_value, fault=replace(FUSE, summary=summary))) == no
    stated = {
        unit: step_values._stated(FAMILY, ("FUSED", "SDA", "NOWHERE"), unit)
        for unit in ("A", "V", "ohm", "F")
    }
    assert {unit: [one.text for one in found] for unit, found in stated.items()} == {
        "A": ["0 to 1 A"],
        "V": ["5.0 V", "3.3 V"],
        "ohm": ["20 mohm 20%", "2.2 kohm 5%"],
        "F": [],
    }


def test_what_of_a_pull_or_a_delay_is_bought_by_its_value() -> None:
    pull = element("SDA", "pull", capacitance="110 pF 20%")
    assert said(elements.unmade_value, element=pull) == [], "what the line itself has"
    delay = Delay(
        origin=HERE, from_="MAIN", ohms=Q("1 kohm 5%"), farads=Q("1 uF 20%"), threshold=Q("1.07 V 5%")
    )
    assert said(elements.unmade_value, element=delay) == []


@pytest.mark.parametrize("bus", ["a-bus", "logic", "z-bus"])
def test_a_bus_of_no_known_standard_is_held_to_none(bus: str) -> None:
    book, family = small_book(BUS)
    line = replace(family.nets["LINE"], bus=bus)
    assert said(elements.bus_contradicted, book=book, family=family, net=line) == []


@pytest.mark.parametrize("source", ["adapter", "pack", "wall"])
def test_only_usb_c_has_the_voltages_of_usb_c(source: str) -> None:
    given = replace(element("VIN", "source", volts="6 V"), from_=source)
    assert said(elements.impossible_usb_c_voltage, net=FAMILY.nets["VIN"], element=given) == []


# Two records, whichever stands first.


def symptom(name: str, *phrases: str) -> Symptom:
    one = next(iter(BOOK.symptoms.values()))
    return replace(
        one,
        id=name,
        title=f"title {name}",
        said=phrases,
        said_in=frozen_map(),
        origin=replace(HERE, path=(name,)),
    )


@pytest.mark.parametrize("names", [("a", "b"), ("b", "a")])
@pytest.mark.parametrize(
    ("phrases", "same"),
    [
        (("a fan turns", "turns, a fan"), False),  # words in another order are others
        (("a fan turns", "A fan turns!"), True),
        (("a fan turns", "fan turns"), False),
        (("a fan and a lamp", "a fan, a lamp"), True),  # an `and` more
        (("a fan zooms", "a fan"), False),
    ],
)
def test_what_people_say_of_two_symptoms(phrases, same, names) -> None:
    one, other = (symptom(name, phrase) for name, phrase in zip(names, phrases, strict=True))
    book = replace(BOOK, symptoms=frozen_map({one.id: one, other.id: other}), words=frozen_map())
    assert [p.origin for p in problems(duplicates.said_twice, book=book)] == (
        [other.origin.at("said", 0)] if same else []
    )


@pytest.mark.parametrize("names", [("jack", "Jack"), ("Jack", "jack"), ("JACK", "Jack")])
def test_the_later_of_two_landmarks_is_told(names) -> None:
    jack = FAMILY.board.landmarks["barrel jack"]
    board = replace(FAMILY.board, landmarks=frozen_map(dict.fromkeys(names, jack)))
    assert said(ids.names_differ_in_case, family=replace(FAMILY, board=board)) == [
        f"'{names[1]}' differs from '{names[0]}' only in case"
    ]


def test_a_record_before_a_circle_is_not_in_it() -> None:
    for first in ("0", "z"):
        moves = {first: "a", "a": "b", "b": "a"}
        seen = {name: [f"{name}.yaml", to] for name, to in moves.items()}
        assert across(ids.moved_in_circle, seen) == [
            "the record moves in a circle: a to b to a",
            "the record moves in a circle: b to a to b",
        ]


@pytest.mark.parametrize("titles", [("Input fuse open", "Zero"), ("Zero", "Input fuse open")])
def test_two_titles_are_the_same_or_not(titles) -> None:
    one, other = (
        silent(name, part, {"fused-rail": "absent"}, title=title)
        for name, part, title in zip("ab", ("F1", "C1"), titles, strict=True)
    )
    assert said(duplicates.near_duplicate, book=book_of(FAMILY, one, other)) == []
    same = replace(other, title=f"{titles[0]}!")
    found = said(duplicates.near_duplicate, book=book_of(FAMILY, one, same))
    assert found == [f"the title says the same as that of 'a': {titles[0]}"]
    work = replace(
        one,
        id="wren-5/c",
        title="Of its own",
        test_points=expecting({"fused-rail": {"absent": 0.5, "low": 0.5}}).test_points,
    )
    for pair in ((one, work), (replace(work, id="wren-5/0"), one)):
        (told,) = said(duplicates.near_duplicate, book=book_of(FAMILY, *pair))
        assert "has the same part, fix and symptoms" in told


def test_the_pairs_of_a_family_are_those_of_its_own_faults() -> None:
    """Of three families, whichever the book has first."""
    others = {name: replace(FAMILY, id=name) for name in ("aspen-1", "zinnia-9")}
    known = {"wren-5": FAMILY, **others}
    for order in (("aspen-1", "wren-5", "zinnia-9"), ("zinnia-9", "wren-5", "aspen-1")):
        families = frozen_map({name: known[name] for name in order})
        book = replace(BOOK, families=families, faults=frozen_map({f.id: f for f in FAULTS[:3]}))
        found = diagnosis.pairs_not_told_apart(book, FAMILY)
        assert {one[-1] + other[-1] for one, other, _ in found} == {"ab", "bc"}
        assert diagnosis.pairs_not_told_apart(book, others["aspen-1"]) == frozenset()


@pytest.mark.parametrize("family", ["aspen-1", "zinnia-9"])
def test_a_fault_of_another_family_uses_no_measurement_of_this_one(family) -> None:
    fault = replace(FUSE, id=f"{family}/fuse-open", foretold=frozen_map())
    found = said(unused.unused_measurement, book=replace(BOOK, faults=frozen_map({fault.id: fault})))
    assert len(found) == len(FAMILY.measurements)


def test_each_family_has_its_own_pictures() -> None:
    names = ("aspen-1", "wren-5", "zinnia-9")
    files: Any = {f"faults/{name}/pictures/a.png": name for name in names}
    known = {name: replace(FAMILY, id=name) for name in names}
    book = replace(BOOK, families=frozen_map(known), faults=frozen_map(), pictures=frozen_map(files))
    found: Any = _by_family(book, common_of(book))
    assert {name: [*one.pictures.values()] for name, one in found.items()} == {name: [name] for name in names}


@pytest.mark.parametrize(
    ("rule_", "file", "path", "covered"),
    [
        ("some-rule", "faults/b/family.yaml", ("nets", "m"), True),
        ("same-rule", "faults/b/family.yaml", ("nets", "m"), False),
        ("sorted-rule", "faults/b/family.yaml", ("nets", "m"), False),
        ("some-rule", "faults/a/family.yaml", ("nets", "m"), False),
        ("some-rule", "faults/c/family.yaml", ("nets", "m"), False),
        ("some-rule", "faults/b/family.yaml", ("nets", "l"), False),
        ("some-rule", "faults/b/family.yaml", ("nets", "n"), False),
    ],
)
def test_a_waiver_is_of_one_rule_and_one_record(rule_, file, path, covered) -> None:
    waiver = Waiver("some-rule", replace(HERE, file="faults/b/family.yaml", path=("nets", "m")))
    assert (waivers.silencing((waiver,), rule_, replace(HERE, file=file, path=path)) is waiver) is covered


@pytest.mark.parametrize("name", ["apart", "todo", "zone"])
def test_only_todo_still_waits_to_be_written(name: str) -> None:
    (found,) = references._unknown(HERE, name, ("fuse",), "a part")
    waits = found.message == f"'{name}' still waits to be written"
    assert waits == (name == "todo")
    assert not waits or found.mend == "write a part"


@pytest.mark.parametrize("field", ["note", "title"])
def test_part_numbers_are_looked_for_on_either_side_of_a_source(field: str) -> None:
    one = next(iter(BOOK.symptoms.values()))
    changed: dict[str, Any] = {field: "Take XYZ9876."}
    book = replace(BOOK, symptoms=frozen_map({one.id: replace(one, **changed)}))
    assert [word for word, *_ in wording._like_part_numbers(book)[1]] == ["XYZ9876"]


@pytest.mark.parametrize(
    ("signals", "first", "right"),
    [
        ({"a": "notice", "b": "danger"}, "a", "b, a"),
        ({"b": "notice", "a": "danger"}, "b", "a, b"),
        ({"a": "danger", "c": "notice", "b": "caution"}, "c", "a, b, c"),
        ({"a": "danger", "b": "notice", "c": "caution"}, "b", "a, c, b"),
    ],
)
def test_hazards_are_out_of_order_whatever_they_are_called(signals, first, right) -> None:
    one = next(iter(BOOK.hazards.values()))
    known = {name: replace(one, id=name, signal=signal) for name, signal in signals.items()}
    told: dict[str, Any] = {
        "book": replace(BOOK, hazards=frozen_map(known)),
        "origin": HERE,
        "names": tuple(known),
    }
    (found,) = problems(wording.hazards_out_of_order, **told)
    assert found.message.startswith(f"'{first}' (")
    assert found.mend == f"write [{right}]"


def test_what_a_rule_asks_for_is_of_the_type_that_there_is() -> None:
    with pytest.raises(TypeError, match="asks for net: Measurement"):

        @rule(each=NET)
        def some_rule(net: Measurement) -> Any:
            return (net,)

    with pytest.raises(TypeError, match="asks for net: Aspen"):

        @rule(each=NET)
        def other_rule(net: Aspen) -> Any:  # type: ignore[name-defined]  # noqa: F821
            return (net,)


def test_a_finding_points_at_the_key_or_at_the_value() -> None:
    """At what is wrong: the injection itself, or the mode that stands there."""
    cell = replace(FAMILY.nets["VIN"].source[0], from_="clock-cell", built_in=True)
    live = with_net("SDA", source=(cell,), pull=())
    for changes, on_key in (({"mode": "ohms"}, False), ({"mode": "celsius", "inject": INJECT}, True)):
        family = with_measurements(replace(VOLTS, id="one", at="TP3", **changes), family=live)
        (found,) = problems(
            safety.measured_on_live_cell, family=family, measurement=family.measurements["one"]
        )
        assert found.on_key is on_key
