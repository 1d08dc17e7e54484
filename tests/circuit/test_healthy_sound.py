"""Which circuits nothing is worked out from, and which nets are up on a healthy board."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from benchlore.book.model import Family, frozen_map
from benchlore.circuit.graph.change import Fault
from benchlore.circuit.graph.power import Setup
from benchlore.circuit.graph.predict import Ask, Predictor
from benchlore.circuit.healthy import healthy, is_sound
from benchlore.circuit.interval import Interval
from benchlore.quantity import parse_quantity
from tests.circuit.boards import small, small_book
from tests.circuit.books import FAMILY, good

WREN = good().families[FAMILY]


def changed(net: str, kind: str, **values: Any) -> Family:
    """The family with one element of a net changed."""
    first, *others = getattr(WREN.nets[net], kind)
    given = {k: parse_quantity(v) if k in ("ohms", "volts", "load") else v for k, v in values.items()}
    element = replace(first, **given)
    listed: dict[str, Any] = {kind: (element, *others)}
    fresh = replace(WREN.nets[net], **listed)
    return replace(WREN, nets=frozen_map({**WREN.nets, net: fresh}))


@pytest.mark.parametrize(
    ("net", "kind", "values", "sound"),
    [
        ("SDA", "pull", {}, True),
        ("SDA", "pull", {"ohms": "1 mohm"}, True),
        ("SDA", "pull", {"ohms": "0 ohm"}, False),
        ("SDA", "pull", {"ohms": "0 to 1 kohm"}, False),
        ("SDA", "pull", {"ohms": "-1 kohm"}, False),
        ("SDA", "pull", {"ohms": "2 V"}, False),
        ("SDA", "pull", {"ohms": "over 1 kohm"}, False),
        ("SDA", "pull", {"ohms": "under 1 kohm"}, False),
        ("SDA", "pull", {"to": "NOWHERE"}, False),
        ("SDA", "pull", {"to": "SDA"}, False),  # it would feed itself
        ("SDA", "pull", {"part": ("R99",)}, False),
        ("SDA", "pull", {"in_": ("adapter-only",)}, True),
        ("SDA", "pull", {"in_": ("adapter-only", "nowhere")}, False),
        ("FUSED", "path", {"from_": "MAIN"}, False),  # a ring
        ("FUSED", "path", {"load": "0 A"}, True),
        ("VIN", "source", {"volts": "-5 V"}, True),
        ("VIN", "source", {"from_": "nowhere"}, False),
        ("VIN", "source", {"from_": "nowhere", "built_in": True}, True),
    ],
)
def test_what_a_circuit_must_be_before_anything_is_worked_out(net, kind, values, sound) -> None:
    family = changed(net, kind, **values)
    assert is_sound(family) == sound
    book = replace(good(), families=frozen_map({FAMILY: family}))
    board = healthy(book, family)
    assert sound or board.reading("MAIN", "dc-volts", "adapter-only") is None


def test_a_clock_is_up_with_what_drives_it() -> None:
    """Of a supply that may be too low nobody knows, and then it does not count as up."""
    for given, up in (("2.4 V", True), ("1 V", False), ("1 to 4 V", False)):
        book, family = small_book(
            "nets:\n"
            "  IN: {source: {from: adapter, volts: 12 V}}\n"
            f"  EN: {{converter: {{part: U1, from: IN, volts: {given}}}}}\n"
            "  CLK: {kind: clock, signal: {by: U2, needs: {EN: 2 to 3 V}, hertz: 32 kHz 1%}}\n"
            "parts: {U1: {kind: ic}, U2: {kind: ic, nets: [CLK]}}"
        )
        board = healthy(book, family)
        assert board.is_up("CLK", "on") is up
        assert board.is_up("CLK", "off") is False
        assert board.up_in("IN") == ("on", "both")


def test_each_short_is_explained_by_its_own_ohms() -> None:
    """Two leaks on neighbouring lines, and two on one: the first is named."""
    predictor = Predictor(
        small(
            "nets:\n"
            "  IN: {source: {from: adapter, volts: 5 V}}\n"
            "  A: {kind: data, pull: {part: R1, to: IN, ohms: 10 kohm}}\n"
            "  B: {kind: data, pull: {part: R2, to: IN, ohms: 10 kohm}}\n"
            "parts: {R1: {kind: resistor}, R2: {kind: resistor}, C1: {kind: mlcc, nets: [A, B]}}"
        )
    )
    other = Fault("C1", "leaks", "A", value=Interval(5e3, 5e3))
    fault = Fault("C1", "leaks", "B", value=Interval(10e3, 10e3), then=(other,))
    for net, ohms in (("A", "5.00 kohm"), ("B", "10.0 kohm")):
        ask = Ask(net, "dc-volts", Setup("on"))
        last = predictor.predict([ask], fault)[ask].steps[-1].replace("\u00a0", " ")
        assert last.endswith(f": {ohms} to ground"), last
