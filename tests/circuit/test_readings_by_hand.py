"""What each function of a meter reads with a fault, by hand: comparisons, amperes, clocks, times, ripple."""

from __future__ import annotations

import math

import pytest

from benchlore.circuit.graph.change import Fault
from benchlore.circuit.graph.power import Setup
from benchlore.circuit.graph.predict import Ask, Meter, Predictor
from benchlore.circuit.interval import Interval
from tests.circuit.boards import small


def ends(found: Interval | None) -> tuple[float, float] | None:
    return (found.low, found.high) if found else None


def said(predictor: Predictor, ask: Ask, fault: Fault) -> object:
    """What is read: `healthy`, both ends, or None where it is not known."""
    found = predictor.predict([ask], fault)[ask]
    return "healthy" if found.healthy else ends(found.reading)


def leak(net: str, low: float, high: float = 0.0, part: str = "C1") -> Fault:
    return Fault(part, "leaks", net, value=Interval(low, high or low))


TWINS = Predictor(
    small("""
nets:
  IN: {source: {from: adapter, volts: 5 V}}
  A: {kind: data, load: 1 kohm 10%}
  B: {kind: data, load: 1 kohm 10%}
  C: {kind: data, pull: {part: R1, to: IN, ohms: 1 kohm}}
  D: {kind: data, pull: {part: R2, to: IN, ohms: 1 kohm}}
  E: {kind: data}
parts:
  R1: {kind: resistor}
  R2: {kind: resistor}
  F1: {kind: fuse, nets: [A]}
  C1: {kind: mlcc, nets: [A, B, C, D]}
""")
)


HELD = Fault("C1", "stuck", "C", value=Interval(0.0, 1.0))
LITTLE = Fault("C1", "stuck", "C", value=Interval(0.5, 1.0))


@pytest.mark.parametrize(
    ("one", "other", "function", "fault", "expected"),
    [
        # 900 to 1100 ohm beside 1 kohm, over and under 900 to 1100 ohm.
        (
            "A",
            "B",
            "ohms",
            leak("A", 1e3),
            (100 * (900 / 1900 * 1e3 / 1100 - 1), 100 * (1100 / 2100 * 1e3 / 900 - 1)),
        ),
        (
            "A",
            "B",
            "ohms",
            leak("B", 1e3),
            (100 * (900 / (1100 / 2100 * 1e3) - 1), 100 * (1100 / (900 / 1900 * 1e3) - 1)),
        ),
        ("C", "D", "dc-volts", leak("C", 1e3, 4e3), (-50.0, -20.0)),
        ("D", "C", "dc-volts", leak("C", 1e3, 4e3), (25.0, 100.0)),
        ("C", "D", "dc-volts", leak("A", 1e3), "healthy"),
        ("D", "C", "dc-volts", HELD, None),  # nothing is a share of 0 V
        ("C", "D", "dc-volts", HELD, (-100.0, -80.0)),
        ("D", "C", "dc-volts", LITTLE, (400.0, 900.0)),
        ("A", "E", "ohms", leak("A", 1e3), None),  # nothing is known of E
        ("E", "A", "ohms", leak("A", 1e3), None),
    ],
)
def test_of_two_readings_one_lies_so_far_above_the_other(one, other, function, fault, expected) -> None:
    state = "off" if function == "ohms" else "on"
    found = said(TWINS, Ask(one, function, Setup(state), beside=other), fault)
    assert found == (pytest.approx(expected, rel=1e-5, abs=1e-5) if isinstance(expected, tuple) else expected)


def test_of_two_healthy_readings_nothing_is_said() -> None:
    assert TWINS.healthy(Ask("A", "ohms", Setup("off"), beside="B")) is None


def test_a_comparison_with_what_reads_open_is_not_known() -> None:
    board = Predictor(
        small(
            "nets: {A: {load: {ohms: 1 kohm, part: R1}}, B: {load: 1 kohm}}\n"
            "parts: {R1: {kind: resistor}, C1: {kind: mlcc, nets: [B]}}"
        )
    )
    fault = Fault("R1", "open", then=(leak("B", 1e3),))
    assert said(board, Ask("A", "ohms", Setup("off")), fault) == (math.inf, math.inf)
    assert said(board, Ask("B", "ohms", Setup("off"), beside="A"), fault) is None
    assert said(board, Ask("A", "ohms", Setup("off"), beside="B"), fault) == (math.inf, math.inf)


RAILS = Predictor(
    small("""
nets:
  IN: {source: {from: adapter, volts: 12 V, part: J1}, draw: {"on": 100 to 300 mA, both: 1 to 2 A}}
  A: {converter: {part: U1, from: IN, volts: 5 V, way: both, passes: 0.5 V}}
  B: {converter: {part: U2, from: IN, volts: 3 V}}
  PACK: {source: {from: pack, cells: 1, each: 4 V}}
  LINE: {kind: data, pull: {part: R1, to: IN, ohms: 10 kohm}}
  SIDE: {kind: data, load: 1 kohm}
parts:
  J1: {kind: connector}
  R1: {kind: resistor}
  U1: {kind: ic}
  U2: {kind: ic}
  C1: {kind: mlcc, nets: [A, B, LINE]}
""")
)
NONE = Fault("U1", "open", then=(Fault("U2", "open"),))


@pytest.mark.parametrize(
    ("state", "fault", "expected"),
    [
        ("on", Fault("R1", "open"), "healthy"),  # all rails stand
        # They do, but a leak takes something, too: 6 V on 10 kohm, by the path 0.6 mA, at 12 V 0.3 mA.
        ("on", leak("LINE", 1e4), (0.1003, 0.3006)),
        ("on", Fault("C1", "shorted-across", "LINE", "IN"), None),
        ("on", Fault("U2", "open"), None),  # A draws something
        # A stands at what shines through its converter, which makes nothing: a tenth of the least.
        ("on", NONE, (0.0, 0.01)),
        ("both", NONE, None),  # one source may charge the other
        ("both", Fault("R1", "open"), None),
    ],
)
def test_amperes(state, fault, expected) -> None:
    found = said(RAILS, Ask("IN", "amps", Setup(state)), fault)
    assert found == (pytest.approx(expected) if isinstance(expected, tuple) else expected)


def test_amperes_of_a_board_on_which_a_rail_may_stand_or_not_are_not_known() -> None:
    """B needs EN between 2 and 3 V; a leak leaves 1 to 4 V of it."""
    board = Predictor(
        small("""
nets:
  IN: {source: {from: adapter, volts: 12 V, part: J1}, draw: {"on": 100 to 300 mA}}
  A: {converter: {part: U1, from: IN, volts: 5 V}}
  B: {converter: {part: U2, from: IN, needs: {EN: 0.5 to 2.6 V}, volts: 3 V}}
  EN: {kind: control, pull: [{part: R1, to: IN, ohms: 4 kohm}, {part: R2, to: ground, ohms: 1 kohm}]}
parts:
  J1: {kind: connector}
  U1: {kind: ic}
  U2: {kind: ic}
  R1: {kind: resistor}
  R2: {kind: resistor}
  X1: {kind: ic, nets: [EN]}
""")
    )
    ask = Ask("IN", "amps", Setup("on"))
    unknown = Fault("X1", "stuck", "EN", value=Interval(1.0, 4.0))
    assert said(board, ask, unknown) is None
    assert said(board, ask, Fault("U1", "open", then=(unknown,))) is None, "B may still draw"
    dead = Fault("X1", "stuck", "EN", value=Interval(0.0, 0.1))
    assert said(board, ask, Fault("U1", "open", then=(dead,))) == pytest.approx((0.0, 0.01))
    assert said(board, Ask("B", "dc-volts", Setup("on")), unknown) is None
    steps = board.predict([Ask("B", "dc-volts", Setup("on"))], unknown)
    assert next(iter(steps.values())).steps[-1] == "B is at a level that is not known: U2 waits for EN"


def test_amperes_of_a_board_on_which_more_rails_stand_than_should_are_not_known() -> None:
    """B waits for RUN, which is down in this bench state; stuck high, it adds what hangs on B."""
    board = Predictor(
        small("""
nets:
  IN: {source: {from: adapter, volts: 12 V, part: J1}, draw: {"on": 100 to 300 mA}}
  A: {converter: {part: U1, from: IN, volts: 5 V}}
  B: {converter: {part: U2, from: IN, needs: RUN, volts: 3 V}}
  RUN: {kind: control, nominal: 3 V, in: [pack]}
parts:
  J1: {kind: connector}
  U1: {kind: ic}
  U2: {kind: ic}
  X1: {kind: ic, nets: [RUN]}
""")
    )
    ask = Ask("IN", "amps", Setup("on"))
    assert said(board, ask, Fault("X1", "stuck", "RUN", value=Interval(2.9, 3.1))) is None
    assert said(board, ask, Fault("X1", "stuck", "RUN", value=Interval(0.0, 0.1))) == "healthy"


def test_amperes_are_known_of_a_net_and_a_state_that_state_them() -> None:
    assert ends(RAILS.healthy(Ask("IN", "amps", Setup("on")))) == (0.1, 0.3)
    assert ends(RAILS.healthy(Ask("IN", "amps", Setup("both")))) == (1.0, 2.0)
    for net, state in (("IN", "pack"), ("IN", "off"), ("A", "on"), ("PACK", "both")):
        assert RAILS.healthy(Ask(net, "amps", Setup(state))) is None, (net, state)


CLOCKS = Predictor(
    small("""
nets:
  IN: {source: {from: adapter, volts: 12 V}}
  A: {converter: {part: U1, from: IN, volts: 1.0 to 4.0 V}}
  CLK: {kind: clock, signal: {by: U2, with: Y1, needs: {A: 0.5 to 4.5 V}, hertz: 20 to 25 kHz}}
  MAYBE: {kind: clock, signal: {by: U2, needs: {A: 2 to 3 V}, hertz: 1 kHz}}
  DC: {kind: control, signal: {by: U2, needs: A, volts: 1 V}}
  LATE: {kind: control, delay: {from: IN, ohms: 100 kohm, farads: 1 uF, threshold: 6 V}}
  NEVER: {kind: control, delay: {from: IN, ohms: 100 kohm, farads: 1 uF, threshold: 12 V}}
  TACH: {kind: clock}
  PACE: {kind: control, pull: {part: R9, to: A, ohms: 100 kohm}}
  AWAY: {kind: control, pull: {part: R8, to: IN, ohms: 100 kohm}}
parts:
  U1: {kind: ic}
  U2: {kind: ic}
  Y1: {kind: crystal}
  C1: {kind: mlcc, nets: [CLK, LATE, IN]}
  C2: {kind: mlcc, nets: [LATE]}
  E1: {kind: accessory, nets: [A, TACH, PACE]}
  R8: {kind: resistor}
  R9: {kind: resistor}
  C8: {kind: mlcc, nets: [A]}
  C9: {kind: mlcc, nets: [PACE]}
  J1: {kind: resistor, nets: [LATE]}
""")
)


@pytest.mark.parametrize(
    ("net", "function", "expected"),
    [
        ("CLK", "hertz", (20e3, 25e3)),
        ("CLK", "period", (1 / 25e3, 1 / 20e3)),
        ("MAYBE", "hertz", None),  # its rail may stand outside of what it needs
        ("DC", "hertz", None),  # it drives a level
        ("IN", "period", None),
        ("LATE", "seconds", (0.1 * math.log(2), 0.1 * math.log(2))),
        ("NEVER", "seconds", None),
        ("IN", "seconds", None),
        ("IN", "delay", None),
        ("IN", "look", None),
    ],
)
def test_clocks_and_times_of_a_healthy_board(net, function, expected) -> None:
    found = ends(CLOCKS.healthy(Ask(net, function, Setup("on"))))
    assert found == (pytest.approx(expected, rel=1e-9) if expected else None)
    assert CLOCKS.healthy(Ask(net, function, Setup("off"))) is None


@pytest.mark.parametrize(
    ("net", "function", "fault", "expected"),
    [
        ("CLK", "hertz", Fault("U1", "open"), (0.0, 0.0)),
        ("CLK", "hertz", Fault("U2", "open"), (0.0, 0.0)),
        ("CLK", "hertz", Fault("Y1", "open"), (0.0, 0.0)),
        ("CLK", "period", Fault("Y1", "open"), None),  # what stands still has no period
        ("LATE", "seconds", Fault("C2", "wrong-value"), None),
        ("LATE", "seconds", leak("LATE", 1e6, part="C2"), None),
        ("LATE", "seconds", leak("CLK", 1e6), "healthy"),
        ("LATE", "ac-ripple", leak("LATE", 1e6, part="C2"), None),
        ("LATE", "ac-ripple", Fault("C2", "wrong-value"), None),
        ("LATE", "ac-ripple", leak("CLK", 1e6), "healthy"),
        ("IN", "celsius", leak("IN", 1e6), None),
        ("IN", "celsius", leak("CLK", 1e6), "healthy"),
        ("IN", "look", leak("CLK", 1e6), None),
        ("LATE", "ripple", leak("LATE", 1e6, part="C2"), None),
        ("LATE", "ripple", leak("CLK", 1e6), "healthy"),
        # Of a clock or a time that nobody states, what does not touch what drives it changes nothing.
        ("TACH", "hertz", Fault("C2", "open"), "healthy"),
        ("TACH", "hertz", leak("DC", 1e6, part="C2"), "healthy"),
        ("TACH", "hertz", Fault("E1", "open"), None),
        ("TACH", "hertz", Fault("U1", "open"), None),  # what it runs from is gone
        ("TACH", "hertz", leak("TACH", 1e6, part="C2"), None),
        ("DC", "duty", Fault("C2", "open"), "healthy"),
        ("DC", "duty", Fault("U2", "open"), None),
        # A resistor that sets the pace: its line stands at its level, and the clock runs at another.
        ("TACH", "hertz", Fault("R9", "wrong-value"), None),
        ("TACH", "hertz", Fault("R8", "wrong-value"), "healthy"),
        ("TACH", "hertz", Fault("C9", "wrong-value"), None),
        ("TACH", "hertz", Fault("C8", "wrong-value"), "healthy"),  # it sits on a rail, and times nothing
    ],
)
def test_clocks_times_and_ripple_with_a_fault(net, function, fault, expected) -> None:
    assert said(CLOCKS, Ask(net, function, Setup("on")), fault) == expected


DRY = Predictor(
    small("""
nets:
  IN: {source: {from: adapter, volts: 12 V}}
  OUT: {converter: {part: U1, from: IN, volts: 3 V}, load: 100 ohm}
  FAR: {path: {part: Q1, from: OUT, ohms: 100 mohm}}
  FUSED: {path: {part: F1, from: FAR, ohms: 50 mohm, rating: 2 A}}
  HELD: {path: {part: Q2, from: OUT, ohms: 100 mohm}}
  PAST: {path: {part: F2, from: HELD, ohms: 50 mohm, rating: 2 A}}
  STILL: {path: {part: L1, from: OUT, ohms: 100 mohm}}
  FELL: {path: {part: D1, from: OUT, drop: 0.3 V, ohms: 10 mohm}}
  AWAY: {path: {part: Q3, from: OUT, in: [both], ohms: 100 mohm}}
  ASKED: {path: {part: Q4, from: OUT, needs: NEVER, ohms: 100 mohm}}
  NEVER: {kind: control, pull: {part: R1, to: ground, ohms: 10 kohm}}
  TWO:
    path:
      - {part: Q5, from: OUT, ohms: 100 mohm}
      - {part: Q6, from: HELD, ohms: 100 mohm}
  TWINS: {converter: {part: U3, from: IN, volts: 2 V}}
  MADE: {converter: {part: U2, from: FAR, volts: 1 V}}
parts:
  U1: {kind: ic}
  U2: {kind: ic}
  U3: {kind: ic}
  Q1: {kind: mosfet}
  Q2: {kind: mosfet}
  Q3: {kind: mosfet}
  Q4: {kind: mosfet}
  Q5: {kind: mosfet}
  Q6: {kind: mosfet}
  F1: {kind: fuse}
  F2: {kind: fuse}
  L1: {kind: ferrite}
  D1: {kind: diode}
  R1: {kind: resistor}
  C1: {kind: electrolytic, nets: [OUT]}
  C2: {kind: mlcc, nets: [OUT]}
  C3: {kind: electrolytic, nets: [HELD]}
  C4: {kind: electrolytic, nets: [TWINS]}
  C5: {kind: electrolytic, nets: [TWINS]}
""")
)


@pytest.mark.parametrize(
    ("net", "most", "fault", "expected"),
    [
        ("OUT", 0.03, Fault("C1", "worn"), (0.03, 0.3)),  # above healthy, up to ten times
        ("OUT", 0.03, Fault("C1", "open"), (0.03, 0.3)),
        ("FAR", 0.03, Fault("C1", "worn"), (0.03, 0.3)),  # a switch lets it through
        ("FUSED", 0.03, Fault("C1", "worn"), (0.03, 0.3)),  # a fuse behind it, too
        ("HELD", 0.03, Fault("C1", "worn"), None),  # an electrolytic of its own takes some of it
        ("PAST", 0.03, Fault("C1", "open"), None),
        ("STILL", 0.03, Fault("C1", "worn"), None),  # a ferrite, too
        ("FELL", 0.03, Fault("C1", "open"), None),  # and a diode
        ("AWAY", 0.03, Fault("C1", "worn"), None),  # it is down: no switch in this state
        ("ASKED", 0.03, Fault("C1", "worn"), None),  # the switch is off
        ("TWO", 0.03, Fault("C1", "worn"), None),  # the other feed may smooth it
        ("TWINS", 0.03, Fault("C4", "worn"), None),  # its twin still smooths
        ("TWINS", 0.03, Fault("C4", "open"), None),
        ("TWINS", 0.03, Fault("C4", "open", then=(Fault("C5", "worn"),)), (0.03, 0.3)),
        ("OUT", 0.03, Fault("C1", "open", then=(Fault("U1", "open"),)), None),  # it is down
        ("MADE", 0.03, Fault("C1", "worn"), "healthy"),  # a converter does not
        ("OUT", math.inf, Fault("C1", "open"), None),  # nobody says what is healthy
        ("OUT", 0.03, Fault("C2", "worn"), None),
        ("OUT", 0.03, Fault("C2", "open"), "healthy"),  # one of many
        ("IN", 0.03, Fault("C1", "open"), "healthy"),
    ],
)
@pytest.mark.parametrize("function", ["ac-ripple", "ripple"])
def test_an_electrolytic_that_is_dry_or_open_smooths_no_more(net, most, fault, expected, function) -> None:
    ask = Ask(net, function, Setup("on"), most=most)
    assert said(DRY, ask, fault) == expected
    if expected == (0.03, 0.3):
        assert DRY.predict([ask], fault)[ask].steps[1] == f"nothing smooths {net}"
        assert said(DRY, Ask("OUT", "dc-volts", Setup("on")), fault) == "healthy"


def test_volts_between_two_nets() -> None:
    """5 V over 1 kohm into 1 to 4 kohm: 2.5 to 4 V, against 5 V; without a source, nothing."""
    meterless = Ask("IN", "dc-volts", Setup("on"), to="C")
    assert ends(TWINS.healthy(meterless)) == pytest.approx((0.0, 0.0), abs=1e-6)
    assert said(TWINS, meterless, Fault("R1", "open")) == "healthy", "the first of them has not changed"
    turned = Ask("C", "dc-volts", Setup("on"), to="IN")
    assert said(TWINS, turned, leak("C", 1e3, 4e3)) == pytest.approx((-2.5, -1.0), rel=1e-6)
    assert ends(TWINS.healthy(Ask("IN", "dc-volts", Setup("off"), to="C"))) == (0.0, 0.0)
    for function in ("ohms", "junction"):
        assert TWINS.healthy(Ask("A", function, Setup("off"), to="B")) is None


UNKNOWN = Predictor(
    small("""
nets:
  IN: {source: {from: adapter, volts: 12 V}}
  EN: {converter: {part: U1, from: IN, volts: 1.0 to 4.0 V}}
  M: {converter: {part: U2, from: IN, needs: {EN: 2 to 3 V}, volts: 3 V}}
  A: {kind: data, pull: {part: R1, to: IN, ohms: 10 kohm}}
  B: {kind: data, pull: {part: R2, to: IN, ohms: 10 kohm}}
  Y: {kind: data, pull: {part: R3, to: IN, ohms: 10 kohm}}
  Z: {kind: data, pull: {part: R4, to: IN, ohms: 10 kohm}}
parts:
  U1: {kind: ic}
  U2: {kind: ic}
  R1: {kind: resistor}
  R2: {kind: resistor}
  R3: {kind: resistor}
  R4: {kind: resistor}
  X1: {kind: ic, nets: [M, A, B, Y, Z]}
""")
)


@pytest.mark.parametrize(
    ("fault", "expected"),
    [
        (leak("A", 1e4, part="X1"), "healthy"),
        (leak("Z", 1e4, part="X1"), "healthy"),
        (leak("M", 1e4, part="X1"), None),
        (Fault("X1", "stuck", "A"), "healthy"),
        (Fault("X1", "stuck", "Z"), "healthy"),
        (Fault("X1", "shorted-across", "A", "B"), "healthy"),
        (Fault("X1", "shorted-across", "Y", "Z"), "healthy"),
        (Fault("X1", "shorted-across", "M", "Z"), None),
        (Fault("X1", "shorted-across", "A", "M"), None),
    ],
)
def test_a_net_of_unknown_level_reads_as_before_where_nothing_touches_it(fault, expected) -> None:
    assert UNKNOWN.healthy(Ask("M", "dc-volts", Setup("on"))) is None
    assert said(UNKNOWN, Ask("M", "dc-volts", Setup("on")), fault) == expected


@pytest.mark.parametrize(("change", "expected"), [(0.9e-6, "healthy"), (1.2e-6, "read")])
def test_what_differs_by_a_millionth_is_the_same(change: float, expected: str) -> None:
    """1 kohm into so large a leak: the level falls by 1 kohm over the leak."""
    found = said(TWINS, Ask("C", "dc-volts", Setup("on")), leak("C", 1e3 / change))
    assert ("healthy" if found == "healthy" else "read") == expected


def test_what_cannot_carry_what_is_drawn_stands_at_nothing_and_not_below() -> None:
    """12 V over 10 kohm cannot carry an ampere: the net stands at 0 V, not below."""
    board = Predictor(
        small("""
nets:
  IN: {source: {from: adapter, volts: 12 V}}
  A: {pull: {part: R1, to: IN, ohms: 10 kohm}}
  B: {path: {part: F1, from: A, ohms: 1 ohm, load: 1 A}}
parts: {R1: {kind: resistor}, F1: {kind: fuse}}
""")
    )
    power = board.power(Setup("on"))
    assert {net: ends(power.level(net)) for net in "AB"} == {"A": (0, 0), "B": (0, 0)}


def test_a_meter_of_the_trade_unless_another_is_named() -> None:
    """No load, 1 to 1.5 mA and 3 V with the leads open (Minipa ET-3702A manual, p. 36)."""
    assert Meter() == Meter(Interval(math.inf, math.inf), Interval(1e-3, 1.5e-3), 3.0)


def test_a_leak_of_which_nobody_knows_the_ohms_is_carried_by_what_feeds_it() -> None:
    """What a feed cannot carry is a short; of a leak that was measured it is reckoned."""
    board = Predictor(
        small("""
nets:
  IN: {source: {from: adapter, volts: 12 V, part: J1, limit: 0.5 A}}
parts: {J1: {kind: connector}, C1: {kind: mlcc, nets: [IN]}}
""")
    )
    ask = Ask("IN", "dc-volts", Setup("on"))
    assert said(board, ask, Fault("C1", "leaks")) == "healthy"  # 10 ohm to 1 kohm
    assert said(board, ask, leak("IN", 10.0)) != "healthy"  # 1.2 A of 0.5


def test_a_charge_stands_where_a_fault_leaves_rails_and_lines_alone() -> None:
    board = Predictor(
        small("""
nets:
  IN: {source: {from: adapter, volts: 12 V, part: J1}, draw: {both: 1 to 2 A}}
  A: {converter: {part: U1, from: IN, volts: 5 V}}
  B: {path: {part: L1, from: A, ohms: 10 mohm}}
  PACK: {source: {from: pack, cells: 1, each: 4 V}}
  LINE: {kind: data, pull: {part: R1, to: A, ohms: 10 kohm}}
parts:
  J1: {kind: connector}
  L1: {kind: ferrite}
  R1: {kind: resistor}
  U1: {kind: ic}
""")
    )
    ask = Ask("IN", "amps", Setup("both"))
    assert said(board, ask, Fault("L1", "wrong-value")) == "healthy"
    for part in ("R1", "L1", "U1"):
        assert said(board, ask, Fault(part, "open")) is None, "who can tell what that does to the charge?"
