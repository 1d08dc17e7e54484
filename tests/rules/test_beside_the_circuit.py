"""Rules that hold records to the circuit: of several elements, outcomes or states the one that is meant,
values at the very end of what is allowed, and where a finding stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from benchlore.book.elements import Delay, Resistor
from benchlore.book.model import Book, Family, Fault, Measurement, Variant, frozen_map
from benchlore.circuit.healthy import Derived, derive
from benchlore.circuit.interval import Interval
from benchlore.findings import Problem
from benchlore.quantity import parse_quantity
from benchlore.rules import causes, dead_rails, elements, healthy, predictions
from tests.circuit.boards import small_book
from tests.rules.asked import BOOK, FAMILY, problems, said
from tests.rules.test_boundaries import FUSE, HERE, VOLTS, element, measuring
from tests.rules.test_branches import SHORT, with_net

Q = parse_quantity


def book_of(family: Family, *faults: Fault) -> Book:
    """The good book with another family, and with these faults where some are given."""
    known = {fault.id: fault for fault in faults} or BOOK.faults
    return replace(BOOK, families=frozen_map({family.id: family}), faults=frozen_map(known))


def with_measurements(*changed: Measurement, family: Family = FAMILY) -> Family:
    known = {**family.measurements, **{one.id: one for one in changed}}
    return replace(family, measurements=frozen_map(known))


def expecting(reads: Mapping[str, Mapping[str, float]], of: Fault = FUSE) -> Fault:
    """The fault with these readings alone, in this order."""
    first = of.test_points[0]
    points = tuple(
        replace(first, measure=name, expected_reading=frozen_map(row), note="") for name, row in reads.items()
    )
    return replace(of, test_points=points, foretold=frozen_map())


# A nominal voltage against its circuit, and where it is wrong.


@pytest.mark.parametrize(
    ("normal", "mode", "net", "at"),
    [
        ("6 to 7 V", "dc-volts", "FUSED", "element"),  # two against one, at the end of the range, too
        ("5 to 6 V", "dc-volts", "FUSED", "element"),
        ("6.001 to 7 V", "dc-volts", "FUSED", "nominal"),
        ("5 to 5.999 V", "dc-volts", "FUSED", "nominal"),
        ("5.5 to 6.5 V", "dc-volts", "FUSED", "element"),
        ("5.5 to 6.5 V", "ac-ripple", "FUSED", "nominal"),
        ("5.5 to 6.5 V", "dc-volts", "MAIN", "nominal"),  # of another net
    ],
)
def test_where_a_nominal_voltage_and_its_circuit_differ(normal, mode, net, at) -> None:
    """FUSED has 5 V by its circuit, and 6 V by its nominal."""
    point = {"FUSED": "TP1", "MAIN": "TP2"}[net]
    one = replace(measuring(mode, normal=normal), id="main-rail", at=point)
    family = with_net("FUSED", nominal=Q("6 V"))
    family = replace(family, measurements=frozen_map({one.id: one}))
    fused = family.nets["FUSED"]
    (found,) = problems(healthy.contradicted_nominal, book=book_of(family), family=family, net=fused)
    assert found.origin == (fused.path[0].origin if at == "element" else fused.origin.at("nominal"))
    across = replace(one, polarity="reversed")
    other = replace(family, measurements=frozen_map({one.id: across}))
    (found,) = problems(healthy.contradicted_nominal, book=book_of(other), family=other, net=fused)
    assert found.origin == fused.origin.at("nominal"), "it is not read to ground"


def test_a_net_with_several_feeds_is_told_at_its_nominal() -> None:
    """Which of them would be wrong nobody knows."""
    family = with_net("MAIN", nominal=Q("4 V"))
    family = replace(family, measurements=frozen_map({VOLTS.id: measuring(normal="3.9 to 4.1 V")}))
    main = family.nets["MAIN"]
    assert len(main.converter) == 2
    (found,) = problems(healthy.contradicted_nominal, book=book_of(family), family=family, net=main)
    assert found.origin == main.origin.at("nominal")
    assert "in adapter-only" not in found.message
    one = replace(main, converter=main.converter[:1])
    family = replace(family, nets=frozen_map({**family.nets, "MAIN": one}))
    (found,) = problems(healthy.contradicted_nominal, book=book_of(family), family=family, net=one)
    assert found.origin == main.converter[0].origin


@pytest.mark.parametrize(("nominal", "no"), [("5 V", False), ("9 V", False), ("7 V", True), (None, False)])
def test_a_nominal_voltage_is_that_of_some_bench_state(nominal, no) -> None:
    """With the adapter in 5 V, with the pack alone 9 V."""
    book, family = small_book(
        "nets:\n"
        "  IN:\n"
        "    source: [{from: adapter, volts: 5 V 1%, in: ['on']}, {from: pack, volts: 9 V 1%, in: [pack]}]\n"
    )
    net = replace(family.nets["IN"], nominal=Q(nominal) if nominal else None)
    family = replace(family, nets=frozen_map({"IN": net}))
    book = replace(book, families=frozen_map({family.id: family}))
    found = said(healthy.contradicted_nominal, book=book, family=family, net=net)
    assert bool(found) == no
    assert not no or found[0].startswith("the circuit of IN gives 4.95"), "that of the first"


def derived_of(measurement: Measurement, family: Family = FAMILY) -> Derived:
    found = derive(book_of(family), family, measurement)
    assert found is not None
    return found


def test_of_several_normal_outcomes_the_first_is_named() -> None:
    two = measuring(normal="1 to 1.5 V", normal_2="2 to 2.5 V")
    derived = derived_of(VOLTS)
    (found,) = problems(healthy.contradicted_range, measurement=two, derived=derived)
    assert found.message.startswith("1 to 1.5 V is called normal, but the circuit of MAIN gives")
    assert found.origin == two.range_at("normal")
    three = measuring(normal="8 to 9 V", normal_2="10 to 11 V", normal_3="12 to 13 V")
    line = replace(three, mode="amplitude", at="TP3", net="SDA")
    (found,) = problems(healthy.swing_beyond_supply, measurement=line)
    assert found.message.startswith("8 to 9 V from peak to peak, and SDA stands no higher than 3.4")
    assert found.origin == line.range_at("normal")
    first = replace(measuring("amplitude", normal="3 to 4 V", normal_2="10 to 11 V"), at="TP3", net="SDA")
    assert said(healthy.swing_beyond_supply, measurement=first) == []


def test_a_net_that_is_not_up_reads_nothing() -> None:
    """The pack feeds no FUSED: 0 is among the normal readings, or the range is wrong."""
    off = replace(measuring(normal="1 to 2 V"), state="pack-only", at="TP1", net="FUSED")
    derived = derived_of(off)
    assert derived.down
    (found,) = problems(healthy.contradicted_range, measurement=off, derived=derived)
    assert found.mend == "make 0 a normal reading, or correct what feeds the net"
    nothing = replace(measuring(normal="under 0.1 V"), state="all-off")
    assert said(healthy.contradicted_range, measurement=nothing, derived=derived) == []
    assert said(healthy.loose_range, measurement=measuring(normal="-9 to 9 V"), derived=derived) == []


def test_which_end_of_a_normal_range_is_loose() -> None:
    derived = derived_of(VOLTS)
    low, high = derived.worst.low, derived.worst.high
    for begin, end, near in ((low - 1, high + 0.01, low), (low - 0.01, high + 1, high)):
        one = measuring(low=f"0 to {begin:.4f} V", normal=f"{begin:.4f} to {end:.4f} V")
        (found,) = problems(healthy.loose_range, measurement=one, derived=derived)
        assert found.mend.replace("\xa0", " ").startswith(f"end it near {near:.3f} V: ")
        assert found.origin == one.range_at("normal")
    parts = measuring(normal="2 to 3 V", normal_2=f"3 to {high + 0.01:.4f} V")
    (found,) = problems(healthy.loose_range, measurement=parts, derived=derived)
    assert found.message.startswith("2 to 3 V is called normal"), "the piece that ends there"
    parts = measuring(normal=f"{low - 0.01:.4f} to 3.4 V", normal_2="3.4 to 6 V")
    (found,) = problems(healthy.loose_range, measurement=parts, derived=derived)
    assert found.message.startswith("3.4 to 6 V is called normal")


# What hangs below a rail that is dead.


ABSENT, LOW = {"a": 1.0}, {"b": 1.0}


def below(upper: Measurement, lower: Measurement, family: Family = FAMILY) -> list[Problem]:
    """What is said where a fault reads FUSED `a`, and MAIN, which is made of it on the adapter, `b`."""
    family = with_measurements(upper, lower, family=family)
    fault = expecting(
        {"fused-rail": dict.fromkeys(upper.outcomes, 0.5), "main-rail": dict.fromkeys(lower.outcomes, 0.5)}
    )
    return problems(dead_rails.up_below_dead_rail, book=book_of(family, fault), fault=fault)


def upper(**ranges: str) -> Measurement:
    return replace(FAMILY.measurements["fused-rail"], outcomes=measuring(**ranges).outcomes)


@pytest.mark.parametrize(
    ("up", "down", "no"),
    [
        ({"a": "under 1 V"}, {"b": "1 to 5 V"}, True),
        ({"a": "under 1 V", "b": "0.5 to 1 V"}, {"b": "1 to 5 V"}, True),
        ({"a": "under 1 V", "b": "0.5 to 1.1 V"}, {"b": "1 to 5 V"}, False),  # it may stand a little
        ({"a": "0.5 to 1.1 V", "b": "under 1 V"}, {"b": "1 to 5 V"}, False),
        ({"a": "under 1 V"}, {"b": "1 to 5 V", "c": "5 to 6 V"}, True),
        ({"a": "under 1 V"}, {"b": "1 to 5 V", "c": "0 to 1 V"}, False),
        ({"a": "under 1 V"}, {"b": "0 to 1 V", "c": "1 to 5 V"}, False),
    ],
)
def test_all_outcomes_of_the_dead_rail_and_of_what_is_below(up, down, no) -> None:
    found = below(upper(**up), measuring(**down))
    assert bool(found) == no
    if no:
        assert found[0].message.startswith(
            f"'main-rail' cannot read {down['b']}: 'fused-rail' reads {up['a']},"
        )


@pytest.mark.parametrize(
    ("changed", "no"),
    [
        ({}, True),
        ({"mode": "celsius"}, False),
        ({"state": "pack-only"}, False),  # there it hangs on the pack
        ({"unplugged": ("J1",)}, False),
        ({"between": ("TP2", "TP3")}, False),
        ({"inject": FAMILY.measurements["main-heat"].inject}, False),
        ({"at": "TP9"}, False),
        ({"at": "TP1"}, False),  # the dead rail itself
    ],
)
def test_what_is_compared_with_a_dead_rail(changed, no) -> None:
    main = replace(measuring(b="1 to 5 V"), **changed)
    if changed.get("mode") == "celsius":
        main = replace(main, outcomes=measuring(b="20 to 40 degC").outcomes)
    assert bool(below(upper(a="under 1 V"), main)) == no


def test_a_line_that_is_low_kills_nothing() -> None:
    """Only a rail feeds what is below it."""
    family = with_net("FUSED", kind="data")
    assert below(upper(a="under 1 V"), measuring(b="1 to 5 V"))
    assert not below(upper(a="under 1 V"), measuring(b="1 to 5 V"), family=family)


def test_what_is_not_to_ground_or_healthy_does_not_end_the_search() -> None:
    """Two readings before the dead rail: one between two points, one of a rail that is up."""
    drop = replace(measuring(a="under 1 V"), id="drop", at="TP1", between=("TP1", "TP2"))
    pack = replace(measuring(a="3 to 5 V"), id="pack-rail", at="TP3")
    family = with_measurements(drop, pack, upper(a="under 1 V"), measuring(b="1 to 5 V"))
    names = ("drop", "pack-rail", "fused-rail", "main-rail")
    fault = expecting({name: LOW if name == "main-rail" else ABSENT for name in names})
    found = problems(dead_rails.up_below_dead_rail, book=book_of(family, fault), fault=fault)
    assert [one.message.split("'")[1] for one in found].count("main-rail") == 1


# The elements of a net.


def test_the_feed_that_closes_a_ring_is_named() -> None:
    """Of two that feed a net the one by which it feeds itself, by the key that names its net."""
    book, family = small_book(
        "nets:\n"
        "  IN: {source: {from: adapter, volts: 5 V}}\n"
        "  A: {path: [{from: IN}, {from: B}]}\n"
        "  B: {path: {from: C}}\n"
        "  C: {path: {from: A}}\n"
        "  D: {pull: [{to: IN, ohms: 1 kohm 5%}, {to: E, ohms: 1 kohm 5%}]}\n"
        "  E: {path: {from: D}}\n"
    )
    nets = family.nets
    (found,) = problems(elements.feed_loop, book=book, family=family, net=nets["A"])
    assert found.message == "'A' feeds itself: A from B from C from A"
    assert found.origin == nets["A"].path[1].origin.at("from")
    (found,) = problems(elements.feed_loop, book=book, family=family, net=nets["D"])
    assert found.origin == nets["D"].pull[1].origin.at("to")
    assert problems(elements.feed_loop, book=book, family=family, net=nets["IN"]) == []


def test_of_three_laws_the_first_two_are_named() -> None:
    three = element("MAIN", "converter", volts="5 V", step="5 mV")
    (found,) = problems(elements.two_laws, element=three)
    assert found.message == "'volts' and 'step' both give its voltage"
    assert found.origin == three.origin.at("step")


# IEC 60063: E6 at 20 %, E12 at 10 %, E24 at 5 %, E48 at 2 %, E96 at 1 %, E192 at 0.5 %.
@pytest.mark.parametrize(
    ("value", "made"),
    [
        ("1.3 kohm 20%", True),  # resistors come in E24 whatever the tolerance
        ("1.31 kohm 20%", False),
        ("1.3 kohm 5%", True),
        ("1.33 kohm 5%", False),
        ("1.05 kohm 2%", True),
        ("1.07 kohm 2%", False),
        ("1.07 kohm 1%", True),
        ("1.09 kohm 1%", False),
        ("1.09 kohm 0.5%", True),
        ("0.47 ohm 5%", True),
        ("0.46 ohm 5%", False),
        ("0 ohm", True),  # a link
    ],
)
def test_the_series_of_each_tolerance(value, made) -> None:
    pull = element("SDA", "pull", ohms=value)
    assert bool(said(elements.unmade_value, element=pull)) != made


def test_each_value_of_a_divider_and_of_a_delay_is_looked_at() -> None:
    converter = element("MAIN", "converter")
    top, bottom = Resistor(ohms=Q("31 to 32 kohm")), Resistor(ohms=Q("10.1 kohm 1%"))
    (found,) = problems(elements.unmade_value, element=replace(converter, top=top, bottom=bottom))
    assert found.origin.path[-1] == "bottom", "a range before it ends nothing"
    both = replace(converter, top=replace(bottom), bottom=bottom)
    assert len(problems(elements.unmade_value, element=both)) == 2
    delay = Delay(
        origin=HERE, from_="MAIN", ohms=Q("10 kohm 5%"), farads=Q("110 nF 20%"), threshold=Q("1 V 5%")
    )
    (found,) = problems(elements.unmade_value, element=delay)
    assert found.origin.path[-1] == "farads"
    assert len(said(elements.unmade_value, element=replace(delay, ohms=Q("11.1 kohm 5%")))) == 2
    for farads, made in (
        ("150 nF 20%", True),
        ("120 nF 20%", False),
        ("120 nF 10%", True),
        ("130 nF 10%", False),
        ("130 nF 5%", True),
    ):
        told = problems(elements.unmade_value, element=replace(delay, farads=Q(farads)))
        assert bool(told) != made, farads


def test_what_is_not_bought_by_its_value_needs_no_series() -> None:
    """A fuse's own resistance, a drop, a load: no one orders them by number."""
    assert said(elements.unmade_value, element=element("FUSED", "path", ohms="23 mohm 5%")) == []
    assert said(elements.unmade_value, element=element("VIN", "source", volts="5.1 V 5%")) == []


@pytest.mark.parametrize(
    ("changed", "count"),
    [({"step": "5 mV"}, 0), ({"reference": "0.8 V"}, 1), ({"limit": "2 A"}, 1), ({"limit": "2 A 10%"}, 0)],
)
def test_a_step_has_the_tolerance_of_the_whole(changed, count) -> None:
    assert len(said(elements.no_tolerance, element=element("MAIN", "converter", **changed))) == count


@pytest.mark.parametrize(
    ("rating", "load", "no"), [(None, "0 to 9 A", False), ("1 A", None, False), ("1 A", "0 to 9 A", True)]
)
def test_a_fuse_without_a_rating_or_a_load_is_not_judged(rating, load, no) -> None:
    path = replace(
        element("FUSED", "path"), rating=Q(rating) if rating else None, load=Q(load) if load else None
    )
    assert bool(said(elements.rating_below_load, element=path)) == no
    assert said(elements.rating_below_load, element=element("VIN", "source")) == []


def test_usb_c_is_held_to_the_nominal_voltage_where_it_states_none() -> None:
    given = replace(element("VIN", "source"), from_="usb-c", volts=None)
    for nominal, no in (("9 V", False), ("12 V", True), (None, False)):
        net = replace(FAMILY.nets["VIN"], nominal=Q(nominal) if nominal else None)
        found = problems(elements.impossible_usb_c_voltage, net=net, element=given)
        assert [one.origin for one in found] == ([net.origin.at("nominal")] if no else [])
    path = element("FUSED", "path")
    assert said(elements.impossible_usb_c_voltage, net=FAMILY.nets["FUSED"], element=path) == []
    stated = replace(given, volts=Q("12 V"))
    found = problems(elements.impossible_usb_c_voltage, net=FAMILY.nets["VIN"], element=stated)
    assert [one.origin for one in found] == [given.origin.at("volts")]


def test_a_cell_is_held_to_its_ends_in_a_source_alone() -> None:
    assert said(elements.impossible_cell_voltage, element=element("VIN", "source")) == []
    assert said(elements.impossible_cell_voltage, element=element("FUSED", "path")) == []


BUS = """
nets:
  RAIL: {source: [{from: adapter, volts: 3.3 V 1%}, {from: pack, volts: 3.3 V 1%}]}
  LINE: {kind: data, bus: i2c, pull: {to: RAIL, ohms: 500 ohm 1%}}
"""


def test_a_bus_is_told_once_though_it_is_wrong_in_several_states() -> None:
    book, family = small_book(BUS)
    line = family.nets["LINE"]
    assert len(said(elements.bus_contradicted, book=book, family=family, net=line)) == 1
    plain = replace(line, bus=None)
    assert said(elements.bus_contradicted, book=book, family=family, net=plain) == []
    other = replace(line, bus="of-its-own")
    assert said(elements.bus_contradicted, book=book, family=family, net=other) == [], "no standard is known"


@pytest.mark.parametrize(
    ("window", "no"),
    [
        ((495.0, 505.0), False),  # the ends belong to it
        ((495.1, 505.0), True),
        ((495.0, 504.9), True),
        ((100.0, 1000.0), False),
        (None, False),
    ],
)
def test_a_pull_up_may_lie_at_the_end_of_what_a_bus_allows(window, no, monkeypatch) -> None:
    """500 ohm 1 %: 495 to 505 ohm."""
    book, family = small_book(BUS)
    monkeypatch.setattr(elements, "pull_up_window_of", lambda *_: Interval(*window) if window else None)
    found = problems(elements.bus_contradicted, book=book, family=family, net=family.nets["LINE"])
    assert [one.origin for one in found] == ([family.nets["LINE"].pull[0].origin.at("ohms")] if no else [])


# Causes.


def test_a_cause_without_a_mode_or_of_no_known_part_is_not_judged() -> None:
    known = [f.part for f, _ in causes._failures(BOOK)]
    assert known == [fault.cause.part for fault in BOOK.faults.values()]
    for changed in ({"mode": None}, {"part": "NOBODY"}):
        fault = replace(SHORT, cause=replace(SHORT.cause, **changed))
        book = book_of(FAMILY, fault)
        assert list(causes._failures(book)) == []
        assert len(list(causes._told(book))) == ("part" in changed)
    stray = replace(SHORT, id="nobody/rail-short")
    assert list(causes._failures(book_of(FAMILY, stray))) == []


@pytest.mark.parametrize(
    ("mode", "variants", "no"),
    [("open", True, True), (None, True, False), ("open", False, False), (None, False, False)],
)
def test_a_cause_has_a_mode_or_variants(mode, variants, no) -> None:
    one = Variant(origin=HERE, part="C1", mode="leaks", share=1.0)
    cause = replace(SHORT.cause, mode=mode, variants=(one,) if variants else ())
    found = problems(causes.mode_beside_variants, fault=replace(SHORT, cause=cause))
    assert [one.origin for one in found] == ([SHORT.origin.at("cause", "mode")] if no else [])


# What the circuit foretells of a fault.


@pytest.mark.parametrize(
    ("row", "stated", "no"),
    [
        ({"absent": 0.95, "low": 0.05}, {"low": 1.0}, False),  # foreseen on one board in twenty
        ({"absent": 0.951, "low": 0.049}, {"low": 1.0}, True),
        ({"absent": 1.0}, {"low": 0.5, "absent": 0.5}, False),  # half of it is foreseen
        ({"absent": 1.0}, {"low": 0.51, "absent": 0.49}, True),
        ({"absent": 1.0}, {"healthy": 0.3, "low": 0.3, "absent": 0.4}, True),
    ],
)
def test_how_much_may_be_unforeseen(row, stated, no, monkeypatch) -> None:
    fault = expecting({"fused-rail": stated})
    monkeypatch.setattr(predictions, "foretold", lambda *_: {FUSE.id: {"fused-rail": row}})
    book = book_of(FAMILY, fault)
    assert bool(said(predictions.contradicts_circuit, book=book, fault=fault)) == no


@pytest.mark.parametrize(
    ("row", "stated", "same"),
    [
        ({"absent": 1.0}, {"absent": 1.0}, True),
        ({"absent": 0.75, "low": 0.25}, {"absent": 0.75, "low": 0.25}, True),
        ({"absent": 0.75, "low": 0.25}, {"absent": 0.70, "low": 0.30}, False),  # by five of a hundred
        ({"absent": 0.75, "low": 0.25}, {"absent": 0.71, "low": 0.29}, True),
        ({"absent": 0.75, "low": 0.25}, {"absent": 0.75, "healthy": 0.25}, False),
        ({"absent": 0.97, "low": 0.03}, {"absent": 0.97, "healthy": 0.03}, True),
    ],
)
def test_what_says_the_same_as_the_circuit(row, stated, same, monkeypatch) -> None:
    fault = expecting({"fused-rail": stated})
    monkeypatch.setattr(predictions, "foretold", lambda *_: {FUSE.id: {"fused-rail": row}})
    assert bool(said(predictions.repeats_prediction, book=book_of(FAMILY, fault), fault=fault)) == same


def test_what_is_held_to_the_circuit() -> None:
    """What a record states, of outcomes that there are, where the circuit says something."""

    def count(fault: Fault, book: Book | None = None) -> int:
        return len(list(predictions._stated(book or book_of(FAMILY, fault), fault)))

    one = expecting({"fused-rail": {"absent": 1.0}})
    assert count(one) == 1
    assert count(expecting({"fused-rail": {"gone": 1.0}})) == 0
    assert count(expecting({"socket-look": {"clean": 1.0}})) == 0, "the circuit says nothing of a look"
    assert count(one, replace(BOOK, families=frozen_map())) == 0
    said_so = replace(one, test_points=(replace(one.test_points[0], predicted=True),))
    assert count(said_so) == 0, "nobody states it"


def test_a_board_that_the_records_call_otherwise_when_healthy_contradicts_no_fault() -> None:
    """The range is wrong then, which another rule says."""
    fault = expecting({"fused-rail": {"healthy": 1.0}})
    assert said(predictions.contradicts_circuit, book=book_of(FAMILY, fault), fault=fault)
    odd = with_measurements(upper(healthy="8 to 9 V", normal="8 to 9 V", absent="under 8 V"))
    book = book_of(odd, fault)
    assert said(predictions.contradicts_circuit, book=book, fault=fault) == []
    assert predictions._strange(book, odd, odd.measurements["fused-rail"])
    assert not predictions._strange(BOOK, FAMILY, FAMILY.measurements["fused-rail"])
    assert not predictions._strange(BOOK, FAMILY, FAMILY.measurements["socket-look"])


def test_the_likeliest_way_of_a_cause_is_explained() -> None:
    """F1 open in nine of ten: the steps begin with it, not with the leak."""
    shares = {"open": 0.9, "high-resistance": 0.1}
    variants = tuple(
        Variant(origin=HERE, part="F1", mode=mode, share=share) for mode, share in shares.items()
    )
    for order in (variants, variants[::-1]):
        fault = replace(FUSE, cause=replace(FUSE.cause, mode=None, variants=order))
        steps = predictions._steps(book_of(FAMILY, fault), FAMILY, fault, FAMILY.measurements["fused-rail"])
        assert steps
        assert steps == predictions._steps(BOOK, FAMILY, FUSE, FAMILY.measurements["fused-rail"])
    nothing: Any = replace(FUSE, cause=replace(FUSE.cause, mode=None))
    assert predictions._steps(BOOK, FAMILY, nothing, FAMILY.measurements["fused-rail"]) == ()
    assert predictions._steps(BOOK, FAMILY, FUSE, FAMILY.measurements["socket-look"]) == ()
    far = predictions._steps(BOOK, FAMILY, FUSE, FAMILY.measurements["main-rail-on-pack"])
    assert far == ("nothing of what sets it has changed",)
