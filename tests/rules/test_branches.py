"""Rules branch by branch: what each condition lets pass and what it does not, on changes of the good book."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import pytest

from benchlore.book.model import Compare, Fault, Injection, Variant, frozen_map
from benchlore.diagnosis.posterior import evidence
from benchlore.findings import Problem
from benchlore.quantity import parse_quantity
from benchlore.rules import (
    causes,
    dangers,
    diagnosis,
    elements,
    healthy,
    ids,
    measurements,
    proof,
    ranges,
    steps,
)
from benchlore.rules.pairs import NAMED, named_and_counted
from benchlore.vocabulary import CONDITIONS
from tests.circuit.boards import small_book
from tests.rules.asked import BOOK, FAMILY, said
from tests.rules.test_boundaries import (
    FUSE,
    HERE,
    OUT,
    PACKED,
    element,
    measuring,
    meter_of,
    step,
    stepping,
)

SHORT = BOOK.faults["wren-5/rail-short"]
VOLTS = FAMILY.measurements["main-rail"]


def with_net(name: str, **changed: Any) -> Any:
    """The family with a net changed."""
    return replace(FAMILY, nets=frozen_map({**FAMILY.nets, name: replace(FAMILY.nets[name], **changed)}))


# Two records at a time.


def pairs(
    features: Sequence[str], alike: Mapping[str, str], bucket: Mapping[str, str] | None = None
) -> list[str]:
    """What is said of each record, by places: `later-earlier`, or the number of the others."""

    def make(earlier: int, later: int) -> Problem:
        return Problem(HERE.at(f"{later}"), f"{later}-{earlier}", "mend")

    def same(one: int, other: int) -> bool:
        a, b = features[one], features[other]
        return b in alike.get(a, "") or a in alike.get(b, "")

    buckets = (lambda place: (bucket[features[place]],)) if bucket else (lambda _: ("all",))
    return [p.message for p in named_and_counted(features, buckets, same, make)]


@pytest.mark.parametrize(
    ("features", "alike", "told"),
    [
        ("ab", {"a": "b"}, ["1-0"]),
        ("ab", {}, []),
        ("aa", {"a": "a"}, ["1-0"]),  # two copies are alike by themselves
        ("aa", {}, []),
        ("aab", {"a": "b"}, ["2-0", "2-1"]),  # copies that are not alike by themselves
        ("baa", {"a": "b"}, ["1-0", "2-0"]),
        ("aba", {"a": "ab"}, ["1-0", "2-0", "2-1"]),
        ("aaaaa", {"a": "a"}, [*("1-0", "2-0", "2-1"), *("3-0", "3-1", "3-2"), *("4-0", "4-1", "4-2"), 1]),
        ("abcde", {"e": "abcd"}, ["4-0", "4-1", "4-2", 1]),
        ("abcdef", {"f": "abcde"}, ["5-0", "5-1", "5-2", 2]),
        ("fabcde", {"f": "abcde"}, ["1-0", "2-0", "3-0", "4-0", "5-0"]),
    ],
)
def test_each_pair_is_told_of_the_later_one(features, alike, told) -> None:
    counts = {1: "1 other fault", 2: "2 other faults"}
    expected = [f"... and the same is so with {counts[t]}" if isinstance(t, int) else t for t in told]
    assert pairs(features, alike) == expected
    assert NAMED == 3


def test_what_shares_no_bucket_is_not_compared() -> None:
    assert pairs("ab", {"a": "b"}, {"a": "x", "b": "y"}) == []
    assert pairs("ab", {"a": "b"}, {"a": "x", "b": "x"}) == ["1-0"]


# Words that would hurt. Each pattern once, and what stands close to it and may be said.


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("Bridge the fuse with solder.", 1),
        ("Put a coin on the fuse; then a piece of foil over the fuse coin.", 1),
        ("Pry it up with a metal blade.", 1),
        ("Use a steel knife to lever it.", 1),
        ("Open the adapter.", 1),
        ("Cut up a battery.", 1),
        ("Look inside the pack.", 1),
        ("Probe the mains side.", 1),
        ("Pierce the cell.", 1),
        ("Take out the weak cells of the pack.", 1),
        ("Fit a larger fuse.", 1),
        ("A fuse with a higher rating holds.", 1),
        ("Solder a copper wire in its place.", 1),
        ("Put the ammeter across the supply.", 1),
        ("Put it into a bath of isopropyl.", 1),
        ("Empty the capacitor with a screwdriver.", 1),
        ("Discharge it with tweezers.", 1),
        ("Heat the swollen pack.", 1),
        ("Charge the bulging cell; use it.", 1),
        ("Feel with a finger which is hot.", 1),
        # Two of them in one sentence are said once, in two sentences twice.
        ("Bridge the fuse with a copper wire in its place.", 1),
        ("Bridge the fuse. Open the adapter.", 2),
        # What forbids it stands, and what comes after it is looked at.
        ("Never bridge the fuse.", 0),
        ("Do not open the adapter.", 0),
        ("Never bridge the fuse. Open the adapter.", 1),
        ("Open the adapter! Never bridge the fuse.", 1),
        ("Replace the fuse by one of the same rating.", 0),
        ("Lever it with a plastic tool.", 0),
        ("Unplug the adapter and the pack.", 0),
        ("", 0),
    ],
)
def test_what_nobody_may_be_told(text: str, count: int) -> None:
    assert len(said(dangers.dangerous_order, origin=HERE, text=text)) == count


# The shop's meter, and worked examples.


@pytest.mark.parametrize(
    ("pairs_", "sound"),
    [
        ([("2 V", "1 mV")], True),
        ([("0 V", "1 mV")], False),
        ([("-2 V", "1 mV")], False),
        ([("1 to 2 V", "1 mV")], False),
        ([("over 2 V", "1 mV")], False),
        ([("2 V", "0 V")], False),
        ([("2 V", "1 to 2 mV")], False),
        ([("2 V", "1 mV"), ("20 V", "0 V")], False),
        ([], True),
    ],
)
def test_a_meter_whose_ranges_make_no_sense_is_asked_nothing(pairs_, sound) -> None:
    meter = meter_of(*pairs_)
    book = replace(BOOK, meters=frozen_map({**BOOK.meters, BOOK.shop.default_meter: meter}))
    assert (diagnosis._shop_meter(book) is not None) is sound
    nobody = replace(BOOK, shop=replace(BOOK.shop, default_meter="nobody"))
    assert diagnosis._shop_meter(nobody) is None
    assert [f for f, _ in diagnosis._cases(book)] == ([FAMILY] if sound else [])


def test_an_example_is_worked_out_from_what_the_fault_shows_always_or_often(monkeypatch) -> None:
    """What it shows sometimes is not reported in most jobs."""
    asked: list[tuple[str, ...]] = []

    def noted(case: Any, symptoms: Any, readings: Any) -> Any:
        asked.append(tuple(symptoms))
        return evidence(case, symptoms, readings)

    monkeypatch.setattr(diagnosis, "evidence", noted)
    names = list(BOOK.symptoms)[:3]
    often = dict(zip(names, ("always", "sometimes", "often"), strict=False))
    fault = replace(FUSE, symptom=frozen_map(often))
    book = replace(BOOK, faults=frozen_map({FUSE.id: fault}))
    for family, cases in diagnosis._cases(book):
        list(diagnosis.example_misleads.check(book=book, family=family, cases=cases))
    shown = tuple(name for name, how in often.items() if how != "sometimes")
    assert len(names) == 2 or len(shown) == 2
    assert set(asked) == {shown}


@pytest.mark.parametrize(
    ("one", "other", "apart"),
    [
        ({"m": (1.0, 0.0)}, {"m": (0.5, 0.5)}, True),  # they differ on half of the boards
        ({"m": (1.0, 0.0)}, {"m": (0.51, 0.49)}, False),
        ({"m": (0.0, 1.0)}, {"m": (0.6, 0.4)}, True),
        ({"m": (1.0, 0.0)}, {"n": (0.0, 1.0)}, False),  # nothing is known of both
        ({"m": (1.0, 0.0), "n": (1.0, 0.0)}, {"m": (1.0, 0.0), "n": (0.0, 1.0)}, True),
        ({}, {"m": (1.0, 0.0)}, False),
    ],
)
def test_what_tells_two_faults_apart(one, other, apart) -> None:
    assert diagnosis._apart(tuple(one.items()), tuple(other.items())) is apart
    assert diagnosis._apart(tuple(other.items()), tuple(one.items())) is apart


def test_a_family_reads_an_outcome_on_one_board_in_five_or_as_foretold_on_most() -> None:
    first = FUSE.test_points[0]
    stated = replace(first, expected_reading=frozen_map({"absent": 0.8, "low": 0.2}))
    rare = replace(first, measure="main-rail", expected_reading=frozen_map({"absent": 0.81, "low": 0.19}))
    foretold = {"sda-level": frozen_map({"low": 0.5, "healthy": 0.5}), "sda-level-unplugged": {"low": 0.49}}
    fault = replace(FUSE, test_points=(stated, rare), foretold=frozen_map(foretold))
    book = replace(BOOK, faults=frozen_map({FUSE.id: fault}))
    assert diagnosis._stated(book, FAMILY) == {
        first.measure: {"absent": {FUSE.id}, "low": {FUSE.id}},
        "main-rail": {"absent": {FUSE.id}},
        "sda-level": {"low": {FUSE.id}, "healthy": {FUSE.id}},
        "sda-level-unplugged": {},
    }


# The meter errs by 0.5 % + 30 mV: 70 mV at 8 V.
@pytest.mark.parametrize(
    ("upper", "faults", "no"),
    [
        ("8.08 to 9 V", ({"f"}, {"g"}), False),
        ("8.06 to 9 V", ({"f"}, {"g"}), True),
        ("8.0 to 9 V", ({"f"}, {"g"}), True),
        ("8.06 to 9 V", ({"f"}, {"f"}), False),
        ("8.06 to 9 V", ({"f"}, {"f", "g"}), False),
        ("8.06 to 9 V", ({"f", "g"}, {"f"}), False),
        ("8.06 to 9 V", (set(), {"g"}), False),
    ],
)
def test_outcomes_of_different_faults_lie_as_far_apart_as_the_meter_errs(upper, faults, no) -> None:
    measurement = measuring(a="7 to 8 V", b=upper)
    stated = dict(zip(("a", "b"), faults, strict=True))
    found = list(diagnosis._too_close(measurement, BOOK.meters[BOOK.shop.default_meter], stated))
    assert [one[:2] for one in found] == ([("a", "b")] if no else [])


# Steps.


def test_where_a_pack_alone_is_off_the_readings_of_a_fault_are_held_to_it() -> None:
    """A pack that is out is no part that was taken off."""
    reading = replace(FUSE.test_points[0], expected_reading=frozen_map({"absent": 1.0}))
    fault = replace(FUSE, test_points=(reading,), foretold=frozen_map())

    def no(*before: Any) -> bool:
        done = replace(
            fault, fix=replace(fault.fix, steps=(*before, step(measure=(reading.measure,), reads="low")))
        )
        return bool(said(steps.step_reads_otherwise, fault=done, family=PACKED))

    assert no()
    assert no(step(unplug=("BT1",)))
    assert no(OUT)
    assert no(step(unplug=("pack",)))
    assert not no(step(unplug=("J1",)))
    assert not no(step(remove=("F1",)))


@pytest.mark.parametrize(
    ("done", "count"),
    [
        ((step(replace=(FUSE.fix.parts[0],)),), 0),
        ((step(unplug=("everything", "J1"), plug=()),), 0),
        ((step(unplug=("nothing",)),), 1),
        ((step(unplug=("C1",)),), 1),  # it does not unplug
        ((step(plug=("adapter", "nowhere")),), 1),
        ((step(look=("C1", "TP1", "barrel jack", "nowhere")),), 1),
        ((step(press=("nowhere",)), step(clean=("nowhere",))), 2),
        ((step(remove=("nowhere",)),), 0),  # another rule's
    ],
)
def test_what_a_step_names(done, count) -> None:
    assert len(said(steps.unknown_operand, fault=stepping(*done))) == count


# Values and what they lie above.


def test_the_window_of_a_need_may_begin_at_nothing_and_volts_below_ground() -> None:
    text = """
nets:
  IN: {source: {from: adapter, volts: -5 V}, nominal: -5 V}
  EN: {nominal: 3 V}
  OUT: {converter: {from: IN, volts: 3 V, needs: {EN: 0 to 3 V}}, nominal: 3 V}
  SAME: {path: {from: OUT, ohms: 1 ohm}}
"""
    book, _ = small_book(text)
    found = {".".join(map(str, o.path)): (least, zero) for o, _, least, zero in ranges._finite(book)}
    below = -math.inf
    assert found["nets.IN.nominal"] == found["nets.IN.source.volts"] == (below, False)
    assert found["nets.OUT.converter.volts"] == (below, False)
    (window,) = [value for name, value in found.items() if "needs" in name]
    assert window == (0.0, True)
    assert "nets.SAME.nominal" not in found, "it has the level of the net above"


# Measurements.


INJECT = Injection(volts=parse_quantity("1 V"), limit=parse_quantity("1 A"))


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({}, ""),
        ({"polarity": "reversed"}, ""),
        ({"between": ("TP1", "TP2"), "at": "TP1"}, ""),
        ({"mode": "look", "polarity": "reversed"}, "look has no two leads on a net"),
        ({"mode": "look", "between": ("TP1", "TP2"), "at": "TP1"}, "look has no two leads on a net"),
        ({"mode": "look"}, ""),
        ({"between": ("TP1", "TP2"), "at": "TP2"}, "'at' stands beside 'between'"),
        ({"between": ("TP1", "TP2"), "at": "TP1", "polarity": "reversed"}, "the order of 'between' says it"),
        (
            {"between": ("TP1", "TP2"), "at": "TP1", "inject": INJECT},
            "current is injected into a net, not between two points",
        ),
        ({"inject": INJECT}, ""),
    ],
)
def test_what_is_said_of_the_leads(changes, message) -> None:
    found = said(measurements.leads_misstated, measurement=replace(VOLTS, **changes))
    assert found == ([message] if message else [])


@pytest.mark.parametrize(
    ("mode", "state", "no"),
    [
        ("dc-volts", "adapter-only", False),
        ("dc-volts", "all-off", True),
        ("ohms", "adapter-only", True),
        ("ohms", "all-off", True),
        ("dc-volts", "nowhere", False),
    ],
)
def test_a_load_wants_power(mode, state, no) -> None:
    powered = [name for name, one in CONDITIONS.items() if one.powered]
    assert powered
    for name in CONDITIONS:
        measurement = replace(VOLTS, mode=mode, state=state, under=(name,))
        found = said(measurements.condition_without_power, measurement=measurement)
        assert bool(found) == (no and name in powered), name


@pytest.mark.parametrize(
    ("changes", "within", "message"),
    [
        ({}, 10.0, ""),
        ({}, 99.9, ""),
        ({}, 100.0, "no reading lies 100 % below another"),
        ({"mode": "look"}, 10.0, "two readings are compared, and this is not one of them"),
        ({"between": ("TP1", "TP2")}, 10.0, "two readings are compared, and this is not one of them"),
        ({"inject": INJECT}, 10.0, "two readings are compared, and this is not one of them"),
        (
            {"steps": frozen_map({"a": parse_quantity("1 A")})},
            10.0,
            "two readings are compared, and this is not",
        ),
        ({"at": "TP1"}, 10.0, "'TP1' and 'TP1' are both on "),
        ({"at": "NOWHERE"}, 10.0, ""),
    ],
)
def test_what_is_compared(changes, within, message) -> None:
    one = replace(FAMILY.measurements["main-junction"], at="TP2", compare=Compare(with_="TP1", within=within))
    assert FAMILY.test_points["TP1"].net != FAMILY.test_points["TP2"].net
    found = said(measurements.comparison_tells_nothing, measurement=replace(one, **changes))
    assert len(found) == bool(message)
    assert not message or found[0].startswith(message)


@pytest.mark.parametrize(
    ("nominals", "within", "mode", "no"),
    [
        (("5 V", "5 V"), 10.0, "dc-volts", False),
        (("5.5 V", "5 V"), 10.1, "dc-volts", False),
        (("5.5 V", "5 V"), 9.9, "dc-volts", True),
        (("4.5 V", "5 V"), 10.1, "dc-volts", False),
        (("4.5 V", "5 V"), 9.9, "dc-volts", True),
        (("5 V", "3 V"), 10.0, "ohms", False),
        (("5 V", ""), 10.0, "dc-volts", False),
    ],
)
def test_two_rails_of_different_volts_are_not_compared(nominals, within, mode, no) -> None:
    """As a share of the one that is compared with."""
    one, other = (FAMILY.test_points[name].net for name in ("TP2", "TP1"))
    nets = dict(FAMILY.nets)
    for name, text in zip((one, other), nominals, strict=True):
        nets[name] = replace(nets[name], nominal=parse_quantity(text) if text else None)
    measurement = replace(VOLTS, mode=mode, at="TP2", compare=Compare(with_="TP1", within=within))
    family = replace(FAMILY, nets=frozen_map(nets))
    assert bool(said(measurements.comparison_tells_nothing, measurement=measurement, family=family)) == no


@pytest.mark.parametrize(
    ("mode", "texts", "count"),
    [
        ("amps", ("20 to 40 mA", "40 to 50 mA"), 0),
        ("amps", ("20 to 40 mA", "39 to 50 mA"), 1),
        ("amps", ("20 to 40 mA", "50 to 60 mA", "55 to 70 mA", "60 to 80 mA"), 2),
        ("amps", (), 0),
        ("dc-volts", ("1 to 2 V", "3 to 4 V"), 1),
        ("dc-volts", (), 0),
    ],
)
def test_the_steps_of_a_current_climb(mode, texts, count) -> None:
    climbing = frozen_map({f"s{i}": parse_quantity(text) for i, text in enumerate(texts)})
    found = said(measurements.steps_out_of_order, measurement=replace(VOLTS, mode=mode, steps=climbing))
    assert len(found) == count


@pytest.mark.parametrize(
    ("changes", "same"),
    [
        ({}, True),
        ({"at": "TP3"}, False),
        ({"mode": "ac-ripple"}, False),
        ({"state": "all-off"}, False),
        ({"unplugged": ("J1",)}, False),
        ({"under": ("load",)}, False),
        ({"leads": "by the ferrite"}, False),
        ({"inject": INJECT}, False),
        ({"compare": Compare(with_="TP2", within=5.0)}, False),
        ({"asks": "Why?", "minutes": 9.0}, True),
    ],
)
def test_when_two_measurements_are_one(changes, same) -> None:
    other = replace(VOLTS, id="other", **changes)
    family = replace(FAMILY, measurements=frozen_map({VOLTS.id: VOLTS, "other": other}))
    assert bool(said(measurements.same_measurement, family=family)) == same


# Elements.


@pytest.mark.parametrize(
    ("net", "kind", "changes", "no"),
    [
        ("VIN", "source", {}, False),
        ("VIN", "source", {"cells": 2}, True),
        ("VIN", "source", {"volts": None, "cells": 2}, False),
        ("MAIN", "converter", {}, False),
        ("MAIN", "converter", {"volts": "5 V"}, True),
        ("MAIN", "converter", {"step": "5 mV"}, True),
        ("MAIN", "converter", {"reference": None, "volts": "5 V"}, False),
        ("FUSED", "path", {}, False),
    ],
)
def test_one_law_for_one_voltage(net, kind, changes, no) -> None:
    assert bool(said(elements.two_laws, element=element(net, kind, **changes))) == no


@pytest.mark.parametrize(
    ("net", "kind", "changes", "message"),
    [
        ("VIN", "source", {"in_": ("adapter-only",)}, ""),
        ("VIN", "source", {"in_": ("pack-only",)}, "'adapter' is out in 'pack-only'"),
        ("VIN", "source", {"in_": ("all-off",)}, "'adapter' is out in 'all-off'"),
        ("VIN", "source", {"in_": ("all-off",), "built_in": True}, "every source is out in 'all-off'"),
        ("VIN", "source", {"in_": ("pack-only",), "built_in": True}, ""),
        ("VIN", "source", {"in_": ("nowhere",)}, ""),
        ("FUSED", "path", {"in_": ("pack-only",)}, ""),
        ("FUSED", "path", {"in_": ("all-off",)}, "every source is out in 'all-off'"),
        ("FUSED", "path", {"in_": ("nowhere", "all-off")}, "every source is out in 'all-off'"),
    ],
)
def test_what_comes_in_has_a_source(net, kind, changes, message) -> None:
    found = said(elements.source_not_in, element=element(net, kind, **changes))
    assert found == ([message] if message else [])


@pytest.mark.parametrize(
    ("states", "count"),
    [((), 0), (("adapter-only",), 0), (("all-off",), 1), (("nowhere",), 0), (("all-off", "pack-only"), 1)],
)
def test_a_net_is_up_where_a_source_enters(states, count) -> None:
    net = replace(FAMILY.nets["MAIN"], in_=states)
    assert len(said(elements.up_without_source, net=net)) == count
    bare = frozen_map({name: replace(one, source=()) for name, one in FAMILY.nets.items()})
    alone = replace(FAMILY, nets=bare)
    assert len(said(elements.up_without_source, net=net, family=alone)) == count, (
        "where none is said to enter"
    )
    only = replace(FAMILY, nets=frozen_map({**bare, "VIN": FAMILY.nets["VIN"]}))
    on_pack = replace(net, in_=("pack-only",))
    assert said(elements.up_without_source, net=on_pack, family=only), "the pack does not enter this board"


def bus(text: str, standard: str, supply: str = "3.3 V 1%") -> list[str]:
    """What is said of a line on a bus, pulled to a rail of 3.3 V."""
    book, family = small_book(
        "nets:\n"
        f"  RAIL: {{source: {{from: adapter, volts: {supply}}}}}\n"
        f"  LINE: {{kind: data, bus: {standard}, pull: {text}}}\n"
    )
    return said(elements.bus_contradicted, book=book, family=family, net=family.nets["LINE"])


@pytest.mark.parametrize(
    ("text", "standard", "begins"),
    [
        # UM10204: at least (3.333 - 0.4) V / 3 mA = 978 ohm; of 100 pF at most 1000 ns / (0.8473 x 100 pF) =
        # 11.8 kohm.
        ("{to: RAIL, ohms: 1 kohm 1%}", "i2c", ""),
        ("{to: RAIL, ohms: 980 ohm 1%}", "i2c", "a pull-up of 980"),
        ("{to: RAIL, ohms: 100 kohm 1%}", "i2c", ""),
        ("{to: RAIL, ohms: 11.6 kohm 1%, capacitance: 100 pF}", "i2c", ""),
        ("{to: RAIL, ohms: 11.8 kohm 1%, capacitance: 100 pF}", "i2c", "a pull-up of 11.8"),
        # SMBus 2.0: 4 mA: 733 ohm.
        ("{to: RAIL, ohms: 750 ohm 1%}", "smbus", ""),
        ("{to: RAIL, ohms: 720 ohm 1%}", "smbus", "a pull-up of 720"),
        # JESD8C.01: 2.0 V, and no bound of the pull-up.
        ("{to: RAIL, ohms: 10 ohm 1%}", "logic-3v3", ""),
        ("[{to: RAIL, ohms: 10 kohm 1%}, {to: ground, ohms: 18 kohm 1%}]", "logic-3v3", ""),
        ("[{to: RAIL, ohms: 10 kohm 1%}, {to: ground, ohms: 15 kohm 1%}]", "logic-3v3", "LINE idles at"),
        ("[{to: ground, ohms: 15 kohm 1%}, {to: RAIL, ohms: 10 kohm 1%}]", "logic-3v3", "LINE idles at"),
        ("[{to: ground, ohms: 1 Mohm 1%}, {to: RAIL, ohms: 500 ohm 1%}]", "i2c", "a pull-up of 500"),
        # 36 kohm from 3.3 V over 5.1 kohm: 0.41 V, the default current; 27 kohm: 0.52; 16 kohm: 0.8 V.
        ("[{to: RAIL, ohms: 36 kohm 5%}, {to: ground, ohms: 5.1 kohm 5%}]", "usb-c-cc", ""),
        ("[{to: RAIL, ohms: 20 kohm 5%}, {to: ground, ohms: 5.1 kohm 5%}]", "usb-c-cc", "LINE reads"),
        ("[{to: RAIL, ohms: 12 kohm 5%}, {to: ground, ohms: 5.1 kohm 5%}]", "usb-c-cc", ""),
    ],
)
def test_a_line_on_a_bus(text, standard, begins) -> None:
    found = bus(text, standard)
    assert len(found) == bool(begins), found
    assert not begins or found[0].startswith(begins)


def test_a_line_without_a_bus_or_a_pull_is_held_to_none() -> None:
    book, family = small_book("nets: {RAIL: {}, LINE: {kind: data, bus: i2c}, OTHER: {kind: data}}")
    for name in ("LINE", "OTHER"):
        assert said(elements.bus_contradicted, book=book, family=family, net=family.nets[name]) == []


# Causes.


def caused(of: Fault = SHORT, **changed: Any) -> Fault:
    return replace(of, cause=replace(of.cause, **changed))


@pytest.mark.parametrize(
    ("changes", "part", "count"),
    [
        ({}, "C1", 0),
        ({"at": "MAIN"}, "C1", 0),
        ({"at": "SDA"}, "C1", 1),
        ({"at": "MAIN", "to": "SDA"}, "C1", 1),
        ({"at": "SDA", "to": "VIN"}, "C1", 2),
        ({"at": "SDA"}, "", 0),  # nobody says where it sits
    ],
)
def test_a_cause_is_on_a_net_of_its_part(changes, part, count) -> None:
    one = FAMILY.parts[part] if part else replace(FAMILY.parts["C1"], nets=())
    assert len(said(causes.cause_off_net, failure=caused(**changes).cause, part=one)) == count


@pytest.mark.parametrize(
    ("mode", "field", "no"),
    [
        ("shorted-to-ground", "ohms", False),
        ("leaks", "ohms", False),
        ("wrong-value", "ohms", False),
        ("open", "ohms", True),
        ("stuck", "volts", False),
        ("leaks", "volts", True),
        ("shorted-across", "to", False),
        ("open", "to", True),
        ("loose", "share_of_time", False),
        ("open", "share_of_time", True),
    ],
)
def test_what_is_said_beside_a_mode_belongs_to_it(mode, field, no) -> None:
    value: dict[str, Any] = {
        "ohms": parse_quantity("1 ohm"),
        "volts": parse_quantity("1 V"),
        "to": "SDA",
        "share_of_time": 0.3,
    }
    failure = caused(mode=mode, ohms=None, volts=None, to=None, share_of_time=None).cause
    assert said(causes.field_of_another_mode, failure=failure) == []
    assert bool(said(causes.field_of_another_mode, failure=replace(failure, **{field: value[field]}))) == no


# Proofs.


def variant(mode: str, at: str | None = None) -> Variant:
    return Variant(origin=HERE, part="C1", mode=mode, share=0.5, at=at)


@pytest.mark.parametrize(
    ("cause", "confirm", "done", "no"),
    [
        ({}, ("main-rail",), (), True),
        ({}, ("main-junction", "main-rail"), (), False),
        ({}, ("main-rail",), (step(measure=("main-junction",)),), False),
        ({"mode": "leaks"}, ("main-rail",), (), True),
        ({"mode": "open"}, ("main-rail",), (), False),
        ({"at": "SDA"}, ("main-rail",), (), False),  # a line
        ({"at": "NOWHERE"}, ("main-rail",), (), False),
        ({"mode": None, "variants": (variant("open"), variant("leaks", "MAIN"))}, ("main-rail",), (), True),
        ({"mode": None, "variants": (variant("open"), variant("worn"))}, ("main-rail",), (), False),
        ({"part": "NOBODY"}, ("main-rail",), (), False),
    ],
)
def test_after_a_short_the_ohms_come_before_power(cause, confirm, done, no) -> None:
    fault = caused(**cause)
    fix = replace(fault.fix, confirm=frozen_map(dict.fromkeys(confirm, "healthy")), steps=done)
    assert bool(said(proof.power_before_ohms, fault=replace(fault, fix=fix))) == no


# What the circuit gives.


@pytest.mark.parametrize(
    ("mode", "text", "no"),
    [
        ("amplitude", "3.5 to 4 V", False),  # a tenth above 3.45 V or so
        ("amplitude", "3.9 to 4.2 V", True),
        ("dc-volts", "3.9 to 4.2 V", False),
        ("amplitude", "0 to 4.2 V", False),
    ],
)
def test_how_far_a_line_swings(mode, text, no) -> None:
    line = replace(measuring(mode, normal=text), at="TP3", net="SDA")
    assert bool(said(healthy.swing_beyond_supply, measurement=line)) == no
    assert not said(healthy.swing_beyond_supply, measurement=replace(line, net="NOWHERE"))


def test_a_swing_is_held_to_what_is_stated_of_the_net_too() -> None:
    """Of 5 V 10 % stated, up to 6.05 V."""
    family = with_net("SDA", nominal=parse_quantity("5 V 10%"))
    book = replace(BOOK, families=frozen_map({family.id: family}))
    for text, no in (("6 to 7 V", False), ("6.1 to 7 V", True)):
        line = replace(measuring("amplitude", normal=text), at="TP3", net="SDA")
        told = {"book": book, "family": family, "measurement": line}
        assert bool(said(healthy.swing_beyond_supply, **told)) == no


@pytest.mark.parametrize(
    ("texts", "joined"),
    [
        ({"normal": "1 to 2 V", "normal_2": "2 to 3 V"}, [(1, 3)]),
        ({"normal": "2 to 3 V", "normal_2": "1 to 2 V"}, [(1, 3)]),
        ({"normal": "1 to 2 V", "normal_2": "2.1 to 3 V"}, [(1, 2), (2.1, 3)]),
        ({"normal": "1 to 4 V", "normal_2": "2 to 3 V"}, [(1, 4)]),
        ({"normal": "1 to 2 V", "low": "2 to 3 V"}, [(1, 2)]),
        ({"normal": "1 V", "normal_2": "2 to 3 V"}, [(2, 3)]),
        ({"low": "1 to 2 V"}, []),
    ],
)
def test_normal_ranges_that_touch_are_one(texts, joined) -> None:
    assert [(r.low, r.high) for r in healthy._normal_ranges(measuring(**texts))] == joined


# Names.


@pytest.mark.parametrize(
    ("name", "taken", "no"),
    [
        ("fuse-open", {"index"}, False),
        ("index", {"index"}, True),
        ("Index", {"index"}, True),
        ("nets", {"index"}, False),
        *((name, set[str](), True) for name in ("aux", "CON", "nul", "prn", "com0", "com9", "lpt0", "lpt9")),
        *((name, set[str](), False) for name in ("com10", "com", "lpt10", "auxiliary", "com-1")),
    ],
)
def test_names_that_a_page_can_have(name, taken, no) -> None:
    """Windows keeps AUX, CON, NUL, PRN, COM0 to COM9, LPT0 to LPT9 (Microsoft, "Naming Files, Paths, and
    Namespaces")."""
    assert bool(said(ids.reserved_name, origin=HERE, name=name, taken=frozenset(taken))) == no


def across(rule: Any, *seen: Any) -> list[str]:
    return [problem.message for problem in rule.check(seen=list(seen))]


def test_a_family_has_not_the_name_of_anothers_handout() -> None:
    assert across(ids.handout_of_another, ["wren-5"], ["wren-5-handout"]) == [
        "the handout of 'wren-5' has a page named 'wren-5-handout'"
    ]
    assert across(ids.handout_of_another, ["wren-6"], ["wren-5-handout"]) == []
    assert across(ids.handout_of_another, ["wren-5"], ["wren-5-hand"]) == []


@pytest.mark.parametrize(
    ("moves", "circles"),
    [
        ({"a": "b", "b": "c"}, []),
        ({"a": "a"}, ["a to a"]),
        ({"a": "b", "b": "a"}, ["a to b to a", "b to a to b"]),
        ({"a": "b", "b": "c", "c": "b"}, ["b to c to b", "c to b to c"]),
        ({"a": None, "b": "a"}, []),
    ],
)
def test_what_moves_in_a_circle(moves, circles) -> None:
    seen = {name: [f"{name}.yaml", to] for name, to in moves.items()}
    found = across(ids.moved_in_circle, seen)
    assert found == [f"the record moves in a circle: {circle}" for circle in circles]


def test_names_that_differ_only_in_case() -> None:
    jack = FAMILY.board.landmarks["barrel jack"]

    def told(*names: str) -> list[str]:
        board = replace(FAMILY.board, landmarks=frozen_map(dict.fromkeys(names, jack)))
        return said(ids.names_differ_in_case, family=replace(FAMILY, board=board))

    assert told("barrel jack", "keys") == []
    assert told("jack", "Jack", "JACK") == [
        "'Jack' differs from 'jack' only in case",
        "'JACK' differs from 'jack' only in case",
    ]
