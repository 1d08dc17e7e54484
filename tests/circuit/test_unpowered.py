"""Ohms and diode mode without power, by hand: what loads a net, what changes it, and where the meter ends."""

from __future__ import annotations

import math

import pytest

from benchlore.circuit.graph.change import Fault
from benchlore.circuit.graph.power import Setup
from benchlore.circuit.graph.predict import Ask, Meter, Prediction, Predictor
from benchlore.circuit.graph.unpowered import rests
from benchlore.circuit.interval import Interval
from tests.circuit.boards import small

# One milliampere, three volts with the leads open.
METER = Meter(Interval(10e6, 10e6), Interval(1e-3, 1e-3), 3.0)


def rest(load: str, pull: str = "", path: str = "") -> tuple[float, float] | None:
    """What loads N beyond its pull to ground, and beyond what hangs on it by a path."""
    board = small(
        "nets:\n"
        f"  N: {{load: {load}{f', pull: {{part: R1, to: ground, ohms: {pull}}}' if pull else ''}}}\n"
        f"  M: {{{f'path: {{part: F1, from: N, ohms: {path}}}, ' if path else ''}"
        "pull: {part: R2, to: ground, ohms: 1 kohm}}\n"
        "parts: {R1: {kind: resistor}, R2: {kind: resistor}, F1: {kind: fuse}}"
    )
    found = rests(board).get("N")
    return (found.low, found.high) if found else None


@pytest.mark.parametrize(
    ("load", "pull", "path", "expected"),
    [
        ("1 kohm", "", "", (1e3, 1e3)),
        ("1 kohm 20%", "", "", (800, 1200)),
        ("1 kohm", "2 kohm", "", (2e3, 2e3)),
        ("1 kohm 20%", "2 kohm", "", (1600, 2400)),
        ("1 kohm", "1 kohm", "", None),
        ("1 kohm", "500 ohm", "", None),
        ("1 kohm", "1.02 kohm", "", None),  # under two percent are left
        ("1 kohm", "1.025 kohm", "", (41e3, 41e3)),
        ("1 kohm", "", "1 kohm", (2e3, 2e3)),
        ("500 ohm", "2 kohm", "1 kohm", (1e3, 1e3)),
    ],
)
def test_what_loads_a_net_beyond_its_pulls_and_paths(load, pull, path, expected) -> None:
    assert rest(load, pull, path) == (expected and pytest.approx(expected, rel=1e-6))


BOARD = Predictor(
    small("""
nets:
  IN: {source: {from: adapter, volts: 5 V}}
  N: {load: 1 kohm, junction: {drop: 0.5 V, part: D1}}
  P: {path: {part: F1, from: N, ohms: 10 ohm}}
  Q: {pull: {part: R1, to: IN, ohms: 10 kohm}}
  J: {kind: data, junction: {drop: 0.5 V, part: D2}, pull: {part: R2, to: ground, ohms: 1 kohm}}
  K: {path: {part: F2, from: J, ohms: 10 ohm}, pull: {part: R3, to: ground, ohms: 1 kohm}}
  H: {load: {ohms: 1 kohm, part: [R5, R6]}}
parts:
  F1: {kind: fuse}
  F2: {kind: fuse}
  D1: {kind: diode}
  D2: {kind: diode}
  R1: {kind: resistor}
  R2: {kind: resistor}
  R3: {kind: resistor}
  R5: {kind: resistor}
  R6: {kind: resistor}
  C1: {kind: mlcc, nets: [N]}
  C2: {kind: mlcc, nets: [Q]}
  C3: {kind: mlcc, nets: [P]}
"""),
    METER,
)


def read(fault: Fault, net: str, function: str = "ohms") -> Prediction:
    ask = Ask(net, function, Setup("off"))
    return BOARD.predict([ask], fault)[ask]


def leak(part: str, net: str, ohms: float) -> Fault:
    return Fault(part, "leaks", net, value=Interval(ohms, ohms))


def ends(fault: Fault, net: str, function: str = "ohms") -> tuple[float, float] | None:
    found = read(fault, net, function).reading
    return (found.low, found.high) if found else None


@pytest.mark.parametrize(
    ("ohms", "healthy"),
    [
        (98e3, False),  # 989.9 ohm: more than one percent
        (99.5e3, False),
        (100.5e3, True),
        (1e3, False),
    ],
)
def test_what_changes_by_one_percent_reads_the_same(ohms: float, healthy: bool) -> None:
    found = read(leak("C1", "N", ohms), "N")
    assert found.healthy == healthy
    if not healthy:
        assert found.reading is not None
        assert found.reading.middle == pytest.approx(1 / (1 / 1e3 + 1 / ohms), rel=1e-6)


def test_what_hangs_together_is_touched_and_nothing_else() -> None:
    assert ends(leak("C3", "P", 490.0), "N") == pytest.approx((1e3 / 3, 1e3 / 3), rel=1e-6)
    assert read(leak("C3", "P", 490.0), "H").healthy
    assert read(leak("C3", "P", 490.0), "J", "junction").healthy
    # Behind the fuse nothing is stated: it reads no more than what is known, and nothing else is known.
    assert ends(Fault("C3", "shorted-to-ground", "P", value=Interval(5.0, 5.0)), "P") == pytest.approx(
        (0.0, 1 / (1 / 5 + 1 / 1010)), rel=1e-6
    )
    assert ends(Fault("F1", "open"), "P") is None
    assert not read(Fault("F1", "open"), "P").healthy
    assert read(Fault("F1", "open"), "N").healthy, "nothing more hung on it"


def test_one_of_several_parts_of_a_load_hides_it() -> None:
    assert not read(Fault("R5", "open"), "H").known
    assert read(Fault("R5", "open"), "N").healthy


@pytest.mark.parametrize(("ohms", "volts"), [(1000.0, 1.0), (2990.0, 2.99), (3010.0, math.inf)])
def test_a_leak_where_no_junction_is_known_reads_its_ohms_in_diode_mode(ohms: float, volts: float) -> None:
    """At one milliampere; from the open voltage on the meter shows over-range."""
    found = ends(leak("C2", "Q", ohms), "Q", "junction")
    assert found is not None
    assert found == pytest.approx((0.0, volts), rel=1e-3)


def test_a_junction_beside_its_own_pull_and_what_touches_it() -> None:
    ask = Ask("J", "junction", Setup("off"))
    healthy = BOARD.healthy(ask)
    assert healthy is not None
    # 0.5 V over 1 kohm take half of the milliampere: kT/q ln 2, 18 mV, less; K's pull is not counted.
    assert healthy.middle == pytest.approx(0.5 - 0.0257 * math.log(2), abs=0.012)
    cut = ends(Fault("D2", "open"), "J", "junction")
    assert cut == pytest.approx((0.5025, 0.5025), rel=1e-3), "1 kohm beside 1.01 kohm, at a milliampere"
    assert read(Fault("D1", "open"), "J", "junction").healthy
