"""A power-good holds its line at ground until its rail stands; what waits for the line waits for the rail."""

from __future__ import annotations

import pytest

from benchlore.circuit.graph.change import Fault
from benchlore.circuit.graph.power import Setup
from benchlore.circuit.graph.predict import Ask, Predictor
from benchlore.circuit.interval import Interval
from tests.circuit.boards import small

BOARD = Predictor(
    small("""
nets:
  IN: {source: {from: adapter, volts: 10 V}}
  A: {converter: {part: U1, from: IN, volts: 5 V}, good: PG}
  B: {converter: {part: U2, from: IN, volts: 3 V}, good: PG}
  PG: {kind: control, pull: {part: R1, to: IN, ohms: 9.9 kohm}}
  C: {converter: {part: U3, from: IN, needs: PG, volts: 2 V}, good: LAST}
  LAST: {kind: control, pull: {part: R2, to: A, ohms: 9.9 kohm}}
  D: {converter: {part: U4, from: IN, needs: LAST, volts: 1 V}}
parts:
  U1: {kind: ic}
  U2: {kind: ic}
  U3: {kind: ic}
  U4: {kind: ic}
  R1: {kind: resistor}
  R2: {kind: resistor}
  C1: {kind: mlcc, nets: [A, B, PG]}
  X1: {kind: ic, nets: [B]}
""")
)
# The open drain has 10 to 100 ohm: of 10 V over 9.9 kohm 10 to 100 mV are left.
HELD = (10 * 10 / 9910, 0.1)


def levels(fault: Fault | None, *nets: str) -> list[object]:
    power = BOARD.power(Setup("on"), fault)
    found = [power.level(net) for net in nets]
    return [None if v is None else pytest.approx((v.low, v.high), rel=1e-6) for v in found]


def test_of_a_healthy_board_every_line_is_let_go() -> None:
    assert levels(None, "A", "B", "PG", "C", "LAST", "D") == [(v, v) for v in (5, 3, 10, 2, 5, 1)]
    power = BOARD.power(Setup("on"))
    assert [power.stands(net) for net in ("A", "B", "C", "IN")] == [True, True, True, False]


@pytest.mark.parametrize("part", ["U1", "U2"])
def test_one_rail_of_two_that_is_down_holds_the_line(part: str) -> None:
    fault = Fault(part, "open")
    assert levels(fault, "PG", "C", "D") == [HELD, (0, 0), (0, 0)]
    power = BOARD.power(Setup("on"), fault)
    assert [power.stands(net) for net in ("A", "B", "C")] == [part != "U1", part != "U2", False]


def test_two_rails_that_are_down_hold_it_twice() -> None:
    both = Fault("U1", "open", then=(Fault("U2", "open"),))
    assert levels(both, "PG") == [(10 * 5 / 9905, 10 * 50 / 9950)]


def test_a_line_hangs_on_what_waits_for_another_line() -> None:
    assert levels(Fault("U3", "open"), "PG", "C", "D") == [(10, 10), (0, 0), (0, 0)]
    assert levels(Fault("R1", "open"), "PG", "C", "D") == [(0, 0), (0, 0), (0, 0)]
    assert levels(Fault("R2", "open"), "PG", "C", "D") == [(10, 10), (2, 2), (0, 0)]


def test_of_a_rail_that_may_stand_or_not_the_line_is_not_known() -> None:
    """Seven tenths of 3 V: 2.1 V. A level from 1 to 3 V lies on both sides."""
    fault = Fault("X1", "stuck", "B", value=Interval(1.0, 3.0))
    assert levels(fault, "B", "PG", "C") == [(1, 3), None, None]
    assert BOARD.power(Setup("on"), fault).stands("B") is None
    up = Fault("X1", "stuck", "B", value=Interval(2.2, 3.0))
    assert levels(up, "PG", "C") == [(10, 10), (2, 2)]
    down = Fault("X1", "stuck", "B", value=Interval(1.0, 2.0))
    assert levels(down, "PG", "C") == [HELD, (0, 0)]


def steps(fault: Fault, net: str) -> list[str]:
    ask = Ask(net, "dc-volts", Setup("on"))
    return [s.replace("\u00a0", " ") for s in BOARD.predict([ask], fault)[ask].steps]


def test_the_steps_name_the_rail_that_holds_the_line() -> None:
    assert steps(Fault("U2", "open"), "D") == [
        "U2: open",
        "B is at 0 V: U2 does not switch",
        "PG is at 10.1 mV to 100 mV: held until B stands",
        "C is at 0 V: U3 waits for PG",
        "LAST is at 5.05 mV to 50.0 mV: held until C stands",
        "D is at 0 V: U4 waits for LAST",
    ]


def test_the_steps_say_what_is_not_known() -> None:
    found = steps(Fault("X1", "stuck", "B", value=Interval(1.0, 3.0)), "C")
    assert found[-1] == "C is at a level that is not known: U3 waits for PG"
    assert found[-2] == "PG is at a level that is not known: held until B stands"
