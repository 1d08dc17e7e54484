"""What becomes of each line of a family's file in the graph, and of which measurements a circuit speaks."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from benchlore.book import elements as written
from benchlore.book.model import Compare, Injection, Net, frozen_map
from benchlore.circuit.foretold import asks_of
from benchlore.circuit.graph import elements as graph
from benchlore.circuit.graph.family import ask_of, converter_volts, level_volts, probes_of, source_volts
from benchlore.circuit.graph.power import Setup
from benchlore.circuit.graph.predict import Ask, Meter
from benchlore.circuit.interval import Interval
from benchlore.quantity import parse_quantity
from tests.books import example
from tests.circuit.boards import small
from tests.circuit.books import FAMILY, HERE, good

BOARD = """
nets:
  IN: {source: {from: adapter, volts: 12 V 5%, limit: 2 A, part: J1, needs: GATE}}
  CELL: {source: {from: clock-cell, cells: 2, each: 1.5 V, built_in: true}, nominal: 3 V}
  GATE: {nominal: 3 V 10%, in: [pack]}
  EMPTY: {}
  FUSED:
    path: {part: F1, from: IN, ohms: 50 mohm, rating: 3 A, limit: 5 A, load: 1 A, in: ["on"],
           needs: {GATE: 2 to 3 V}}
    draw: {"on": 1 A, pack: 2 A}
  DIODE: {path: {part: D1, from: FUSED, drop: 0.3 V}}
  SWITCH: {path: {part: [F1, Q1], from: FUSED}}
  NAMELESS: {path: {from: FUSED}}
  MAIN:
    converter: {part: U1, from: FUSED, reference: 1 V, top: [R1, 20 kohm], bottom: 10 kohm, through: L1,
                needs: GATE, way: both, passes: 0.5 V, limit: 3 A,
                command: {by: U2, needs: SDA, default: {volts: 2 V}}, in: [both]}
    load: 100 ohm
    junction: 0.4 V
    after: {FUSED: 5 ms}
    good: SDA
  PLAIN: {converter: {from: MAIN}, nominal: 2 V}
  SDA: {kind: data, pull: [{part: R2, to: MAIN, ohms: 2 kohm, in: ["on"]}, {to: ground, ohms: 3 kohm}]}
  CLK: {kind: clock, signal: {by: U2, with: Y1, needs: MAIN, hertz: 32 kHz}}
  LATE: {kind: control, delay: {part: C1, from: MAIN, ohms: 10 kohm, farads: 1 uF, threshold: 2 V}}
parts:
  J1: {kind: adapter}
  F1: {kind: fuse}
  D1: {kind: diode}
  Q1: {kind: mosfet}
  L1: {kind: inductor}
  R1: {kind: resistor}
  R2: {kind: resistor}
  Y1: {kind: crystal}
  C1: {kind: mlcc, nets: [MAIN]}
  U1: {kind: ic}
  U2: {kind: ic, unplugs: true}
"""
GRAPH = small(BOARD)


def one(value: float) -> Interval:
    return Interval(value, value)


GATE = (graph.Need("GATE"),)
EXPECTED: dict[str, list[graph.GraphElement]] = {
    "IN": [graph.Source("adapter", "IN", Interval(11.4, 12.6), ("J1",), (), one(2), False, GATE)],
    "CELL": [graph.Source("clock-cell", "CELL", one(3), (), (), None, True)],
    "GATE": [graph.Stated("GATE", Interval(2.7, 3.3), ("pack",))],
    "EMPTY": [graph.Stated("EMPTY", None)],
    "FUSED": [
        graph.Path(
            "IN",
            "FUSED",
            one(0.05),
            ("F1",),
            ("on",),
            (graph.Need("GATE", Interval(2, 3)),),
            None,
            one(1),
            one(5),
            one(3),
            True,
        ),
        graph.Draw("FUSED", one(1), ("on",)),
        graph.Draw("FUSED", one(2), ("pack",)),
    ],
    # What conducts one way, is switched or is no known part does not conduct without power.
    "DIODE": [graph.Path("FUSED", "DIODE", one(0), ("D1",), drop=one(0.3), unpowered=False)],
    "SWITCH": [graph.Path("FUSED", "SWITCH", one(0), ("F1", "Q1"), unpowered=False)],
    "NAMELESS": [graph.Path("FUSED", "NAMELESS", one(0), unpowered=False)],
    "MAIN": [
        graph.Converter(
            "FUSED",
            "MAIN",
            one(3),
            ("U1",),
            ("both",),
            ("L1",),
            GATE,
            "both",
            graph.Feedback(one(1), "R1", ""),
            graph.Command("U2", one(2), (graph.Need("SDA"),)),
            one(0.5),
            one(3),
        ),
        # The chips on a net make up its load and its junction, where no part is named.
        graph.Load("MAIN", one(100), ("U1",)),
        graph.Junction("MAIN", one(0.4), ("U1",)),
        graph.Order("MAIN", "FUSED", one(0.005)),
        graph.PowerGood("MAIN", "SDA"),
    ],
    "PLAIN": [graph.Converter("MAIN", "PLAIN", one(2))],
    "SDA": [
        graph.Pull("SDA", "MAIN", one(2e3), ("R2",), ("on",)),
        graph.Pull("SDA", "", one(3e3)),
    ],
    "CLK": [graph.Signal("CLK", "U2", (graph.Need("MAIN"),), ("Y1",), one(32e3), None)],
    "LATE": [graph.Delay("LATE", "MAIN", one(10e3), one(1e-6), one(2), ("C1",))],
}


def of_net(net: str) -> list[graph.GraphElement]:
    return [e for e in GRAPH.elements if getattr(e, "end", getattr(e, "net", "")) == net]


@pytest.mark.parametrize("net", EXPECTED)
def test_the_elements_of_a_net(net: str) -> None:
    assert of_net(net) == EXPECTED[net]


def test_the_graph_as_a_whole() -> None:
    assert sum(map(len, EXPECTED.values())) == len(GRAPH.elements) == len(GRAPH.records)
    assert GRAPH.states == {"on": ("adapter",), "pack": ("pack",), "both": ("adapter", "pack"), "off": ()}
    assert GRAPH.rails == set(EXPECTED) - {"SDA", "CLK", "LATE"}
    assert GRAPH.nets == tuple(EXPECTED)
    stated = [record is None for record in GRAPH.records]
    assert [
        isinstance(e, graph.Stated | graph.Draw | graph.Order | graph.PowerGood) for e in GRAPH.elements
    ] == (stated)
    assert (GRAPH.parts["U2"].unplugs, GRAPH.parts["U1"].unplugs) == (True, False)
    assert (GRAPH.parts["J1"].outside, GRAPH.parts["U1"].outside) == (True, False)


def test_names_that_lead_nowhere_are_left_out() -> None:
    found = small(
        "nets:\n"
        "  A: {source: {from: adapter, volts: 5 V, part: [J9, X1], needs: GONE}, after: GONE, good: GONE}\n"
        "  B: {path: {part: F9, from: GONE}, nominal: 3 V, load: {ohms: 1 kohm, part: U9}}\n"
        "  C: {load: {ohms: 1 kohm, part: [X1, U9]}}\n"
        "parts: {X1: {kind: resistor, nets: [A, GONE]}, X2: {kind: ic, nets: [B]}}"
    )
    assert found.elements == (
        graph.Source("adapter", "A", one(5), ("X1",)),
        graph.Stated("B", one(3)),
        graph.Load("B", one(1e3), ("X2",)),
        graph.Stated("C", None),
        graph.Load("C", one(1e3), ("X1",)),
    )
    assert found.parts["X1"].nets == ("A", "C")


RAIL = good().families[FAMILY].measurements["main-rail"]


@pytest.mark.parametrize(
    ("changes", "known"),
    [
        ({}, True),
        ({"net": ""}, False),
        ({"mode": "look"}, False),
        ({"inject": Injection(volts=parse_quantity("1 V"), limit=parse_quantity("1 A"))}, False),
        ({"between": ("TP1", "TP2"), "nets": ("MAIN", "SDA")}, False),
        ({"nets": ("MAIN", "SDA")}, False),
        ({"nets": ()}, False),
        ({"compare": Compare(with_="TP2", within=5.0), "nets": ("MAIN",)}, False),
        ({"compare": Compare(with_="TP2", within=5.0), "nets": ("MAIN", "SDA")}, True),
    ],
)
def test_of_which_measurements_a_circuit_can_speak(changes: dict[str, Any], known: bool) -> None:
    assert (ask_of(replace(RAIL, **changes)) is not None) is known


def test_what_a_measurement_asks() -> None:
    under = replace(RAIL, unplugged=("E7",), under=("load",))
    setup = Setup(RAIL.state, frozenset({"E7"}), frozenset({"load"}))
    assert ask_of(under) == Ask("MAIN", "dc-volts", setup)
    compared = replace(under, compare=Compare(with_="TP2", within=5.0), nets=("MAIN", "SDA"))
    assert ask_of(compared) == Ask("MAIN", "dc-volts", setup, beside="SDA")


def test_what_a_meter_brings() -> None:
    """Of the volts with the leads open the lowest: from there on it may show over-range."""
    own = replace(
        example().meters[example().shop.default_meter],
        input_resistance=parse_quantity("10 Mohm 1%"),
        test_current=parse_quantity("1 to 1.5 mA"),
        open_voltage=parse_quantity("2.8 to 3.2 V"),
    )
    assert probes_of(own) == Meter(Interval(9.9e6, 10.1e6), Interval(1e-3, 1.5e-3), 2.8)


def converter(**values: str | int | float) -> written.Converter:
    """With quantities from their texts, and resistors of a divider."""
    made: dict[str, Any] = {k: parse_quantity(v) if isinstance(v, str) else v for k, v in values.items()}
    made |= {end: written.Resistor(ohms=made[end]) for end in ("top", "bottom") if end in made}
    return written.Converter(origin=HERE, from_="IN", **made)


DIVIDED: dict[str, Any] = {"reference": "1 V 1%", "top": "10 kohm 1%", "bottom": "10 kohm 1%"}
CODED: dict[str, Any] = {"step": "16 mV", "code": 100}


@pytest.mark.parametrize(
    ("values", "volts"),
    [
        ({"volts": "5 V 2%", **DIVIDED}, (4.9, 5.1)),
        (DIVIDED, (0.99 * (1 + 0.99 / 1.01), 1.01 * (1 + 1.01 / 0.99))),
        (DIVIDED | {"bottom": "0 to 1 ohm"}, None),  # no board can have that
        ({"reference": "1 V", "top": "10 kohm"}, None),
        ({"reference": "1 V", "bottom": "10 kohm"}, None),
        ({"top": "10 kohm", "bottom": "10 kohm"}, None),
        (CODED, (1.6, 1.6)),
        (CODED | {"accuracy": 2.0}, (1.6 * 0.98, 1.6 * 1.02)),
        ({"step": "16 mV"}, None),
        ({"code": 100}, None),
        ({}, None),
    ],
)
def test_what_a_converter_regulates_to(values: dict[str, Any], volts: tuple[float, float] | None) -> None:
    found = converter_volts(converter(**values))
    assert (found and (found.low, found.high)) == (volts and pytest.approx(volts))


def test_a_level_is_in_volts_or_by_its_code() -> None:
    coded = converter(**CODED, accuracy=2.0)
    by_code = level_volts(written.Level(code=50), coded)
    assert by_code is not None
    assert (by_code.low, by_code.high) == pytest.approx((0.8 * 0.98, 0.8 * 1.02))
    assert level_volts(written.Level(volts=parse_quantity("1 V"), code=50), coded) == one(1)
    assert level_volts(written.Level(), coded) is None


@pytest.mark.parametrize(
    ("values", "volts"),
    [
        ({"volts": "5 V 10%", "each": "1 V"}, (4.5, 5.5)),
        ({"cells": 3, "each": "1 to 1.5 V"}, (3.0, 4.5)),
        ({"each": "1 to 1.5 V"}, (1.0, 1.5)),
        ({"cells": 3}, (7.0, 8.0)),
    ],
)
def test_the_level_of_a_source(values: dict[str, Any], volts: tuple[float, float]) -> None:
    made: dict[str, Any] = {k: parse_quantity(v) if isinstance(v, str) else v for k, v in values.items()}
    net = Net(id="IN", origin=HERE, for_="", nominal=parse_quantity("7 to 8 V"))
    found = source_volts(written.Source(origin=HERE, from_="adapter", **made), net)
    assert found is not None
    assert (found.low, found.high) == pytest.approx(volts)


def test_a_circuit_speaks_of_what_is_set_up_as_the_family_knows_it() -> None:
    family = good().families[FAMILY]
    changed = {
        "known": RAIL,
        "out": replace(RAIL, unplugged=("J1",)),
        "nowhere": replace(RAIL, state="nowhere"),
        "nobody": replace(RAIL, unplugged=("J1", "J99")),
        "look": replace(RAIL, mode="look"),
    }
    asked = replace(family, measurements=frozen_map({n: replace(m, id=n) for n, m in changed.items()}))
    assert [m.id for m, _ in asks_of(asked)] == ["known", "out"]
