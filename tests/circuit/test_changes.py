"""What each mode of each kind of part changes in the circuit, by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from benchlore.circuit.graph.change import (
    NONE,
    Change,
    Fault,
    Ground,
    absent,
    change_of,
    healthy_ohms,
    nets_of,
    spares,
    tells,
    under_power,
    without,
)
from benchlore.circuit.graph.elements import Converter, Delay, Junction, Load, Path, Pull, Signal, Source
from benchlore.circuit.interval import Interval
from tests.circuit.boards import small

GRAPH = small(
    """
nets:
  IN: {source: {from: adapter, volts: 12 V, part: [J1, X9]}}
  CELL: {source: {from: pack, cells: 1, each: 3.0 to 4.2 V, part: B1}}
  OUT: {path: {part: [F1, X2], from: IN, ohms: 1 ohm}}
  MAIN: {converter: {part: U1, from: OUT, volts: 5 V, through: L1}, load: {ohms: 200 ohm, part: R9}}
  LOGIC:
    converter: {part: U2, from: MAIN, reference: 1 V, top: [R1, 20 kohm], bottom: [R2, 10 kohm]}
    load: {ohms: 20 ohm, part: [R7, R8]}
  CORE:
    converter: {part: U3, from: MAIN, reference: 1 V, top: [R3, 10 kohm], bottom: [R4, 10 kohm],
                command: {by: U9, needs: SDA, default: {volts: 1 V}}}
  SDA:
    kind: data
    pull: [{part: [R5, X2], to: LOGIC, ohms: 2 kohm}, {part: R6, to: ground, ohms: 10 kohm}]
    junction: {drop: 0.5 V, part: D1}
  CLK: {kind: clock, signal: {by: U4, with: Y1, needs: LOGIC, hertz: 32 kHz}}
  LATE: {kind: control, delay: {from: MAIN, ohms: 10 kohm, farads: 1 uF, threshold: 2 V, part: [R10, C2]}}
  BARE: {kind: data}
  DOZE: {path: {part: Q1, from: MAIN, in: [pack], ohms: 1 ohm}}
parts:
  J1: {kind: adapter}
  B1: {kind: pack}
  X9: {kind: connector}
  F1: {kind: fuse}
  X2: {kind: ferrite, nets: [BARE, SDA]}
  L1: {kind: inductor}
  Q1: {kind: mosfet}
  U1: {kind: ic}
  U2: {kind: ic}
  U3: {kind: ic, nets: [LOGIC]}
  U4: {kind: ic, nets: [BARE]}
  U5: {kind: ic, nets: [MAIN, OUT]}
  U6: {kind: ic, nets: [MAIN, SDA]}
  U9: {kind: ic, nets: [SDA]}
  Y1: {kind: crystal}
  C1: {kind: mlcc, nets: [SDA]}
  C2: {kind: mlcc, nets: [MAIN]}
  C3: {kind: mlcc, nets: [BARE, SDA]}
  D1: {kind: diode}
  K1: {kind: button}
"""
    + "".join(f"  R{n}: {{kind: resistor}}\n" for n in range(1, 11))
)


def at(kind: type, net: str, nth: int = 0) -> int:
    """The place of an element of a net."""
    return [i for i, e in enumerate(GRAPH.elements) if isinstance(e, kind) and nets_of(e)[0] == net][nth]


def change(fault: Fault, *out: str, under: tuple[str, ...] = ()) -> Change:
    return change_of(GRAPH, fault, frozenset(out), frozenset(under))


def cut(*places: int) -> Change:
    return Change(cut=frozenset(places))


def silent(part: str, made: Change = NONE) -> Change:
    return made | Change(silent=frozenset({part}))


def ground(net: str, low: float, high: float, *, short: bool, guessed: bool = True) -> Change:
    return Change(grounds=frozenset({Ground(net, Interval(low, high), short, guessed=guessed)}))


@pytest.mark.parametrize(
    ("part", "expected"),
    [
        ("J1", cut(at(Source, "IN"))),
        ("X9", cut(at(Source, "IN"))),
        ("F1", cut(at(Path, "OUT"))),
        ("X2", cut(at(Path, "OUT"), at(Pull, "SDA"))),
        ("L1", cut(at(Converter, "MAIN"))),
        ("U1", Change(still=frozenset({at(Converter, "MAIN")}))),
        ("R1", Change(loose_ends=frozenset({(at(Converter, "LOGIC"), "top")}))),
        ("R2", Change(loose_ends=frozenset({(at(Converter, "LOGIC"), "bottom")}))),
        ("R4", Change(loose_ends=frozenset({(at(Converter, "CORE"), "bottom")}))),
        ("R6", cut(at(Pull, "SDA", 1))),
        ("Y1", cut(at(Signal, "CLK"))),
        ("U4", NONE),  # it drives nothing more: that is its silence
        ("R9", cut(at(Load, "MAIN"))),
        ("R7", Change(hidden=frozenset({"LOGIC"}))),  # one of two that make up a load
        ("R8", Change(hidden=frozenset({"LOGIC"}))),
        ("D1", cut(at(Junction, "SDA"))),
        ("R10", Change(slow=frozenset({"LATE"}))),
        ("C1", NONE),
    ],
)
@pytest.mark.parametrize("mode", ["open", "loose"])
def test_what_is_open(part: str, expected: Change, mode: str) -> None:
    assert change(Fault(part, mode)) == silent(part, expected)


def test_a_chip_that_is_open_still_has_what_it_has_to_ground() -> None:
    board = small(
        "nets: {A: {load: {ohms: 10 ohm, part: U1}, junction: {drop: 0.5 V, part: U1}}}\n"
        "parts: {U1: {kind: ic}, Q1: {kind: mosfet}}"
    )
    assert change_of(board, Fault("U1", "open"), frozenset(), frozenset()) == silent("U1")


def test_an_open_protection_diode_spares_the_board() -> None:
    assert spares(GRAPH, Fault("D1", "open")), "a meter misses its junction, and nothing else does"
    assert not spares(GRAPH, Fault("D1", "shorted-across"))
    for part in ("F1", "R6", "R9", "Y1", "U4"):
        assert not spares(GRAPH, Fault(part, "open"))
    path = small(
        "nets: {A: {source: {from: adapter, volts: 5 V}}, B: {path: {part: D1, from: A, drop: 0.4 V}}}\n"
        "parts: {D1: {kind: diode}}"
    )
    assert not spares(path, Fault("D1", "open")), "current goes through it"


def test_one_contact_that_is_open_cuts_what_meets_its_net_alone() -> None:
    assert change(Fault("X2", "open", "OUT")) == cut(at(Path, "OUT"))
    assert change(Fault("X2", "open", "IN")) == cut(at(Path, "OUT"))
    assert change(Fault("X2", "open", "LOGIC")) == cut(at(Pull, "SDA"))
    assert change(Fault("X2", "open", "BARE")) == NONE


@pytest.mark.parametrize(
    ("fault", "expected"),
    [
        # At most 5 ohm, and a tenth of what holds the net: its pulls, else its load.
        (Fault("C1", "shorted-to-ground"), ground("SDA", 0, 5, short=True)),
        (Fault("C2", "shorted-to-ground"), ground("MAIN", 0, 5, short=True)),
        (Fault("U3", "shorted-to-ground", "LOGIC"), ground("LOGIC", 0, 2, short=True)),
        (Fault("U4", "shorted-to-ground", "BARE"), ground("BARE", 0, 5, short=True)),
        (
            Fault("C1", "shorted-to-ground", value=Interval(1, 2)),
            ground("SDA", 1, 2, short=True, guessed=False),
        ),
        # A hundredth to half of it, or 10 ohm to 1 kohm where nothing is known.
        (Fault("C1", "leaks"), ground("SDA", 20, 1000, short=False)),
        (Fault("C2", "leaks"), ground("MAIN", 2, 100, short=False)),
        (Fault("U4", "leaks", "BARE"), ground("BARE", 10, 1000, short=False)),
        (Fault("C1", "leaks", value=Interval(30, 40)), ground("SDA", 30, 40, short=False, guessed=False)),
        # A low output: 0.4 V at most (JESD8C.01).
        (Fault("U9", "stuck", "SDA"), Change(stuck=frozenset({("SDA", Interval(0, 0.4))}))),
        (
            Fault("U9", "stuck", "SDA", value=Interval(1, 2)),
            Change(stuck=frozenset({("SDA", Interval(1, 2))})),
        ),
        (Fault("U9", "content-lost"), Change(mute=frozenset({"U9"}))),
        (Fault("U9", "damaged"), NONE),
    ],
)
def test_shorts_leaks_and_stuck_lines(fault: Fault, expected: Change) -> None:
    found = change(fault)
    assert found == expected


@pytest.mark.parametrize(
    ("fault", "expected"),
    [
        (Fault("R1", "shorted-across"), Change(loose_ends=frozenset({(at(Converter, "LOGIC"), "bottom")}))),
        (Fault("R2", "shorted-across"), Change(loose_ends=frozenset({(at(Converter, "LOGIC"), "top")}))),
        (Fault("R3", "shorted-across"), Change(loose_ends=frozenset({(at(Converter, "CORE"), "bottom")}))),
        (Fault("L1", "shorted-across"), Change(still=frozenset({at(Converter, "MAIN")}))),
        (Fault("F1", "shorted-across"), Change(joins=frozenset({("IN", "OUT")}))),
        (Fault("R5", "shorted-across"), Change(joins=frozenset({("SDA", "LOGIC")}))),
        (Fault("R6", "shorted-across"), ground("SDA", 0, 5, short=True)),
        (Fault("C3", "shorted-across"), Change(joins=frozenset({("BARE", "SDA")}))),
        (Fault("C3", "shorted-across", "SDA"), Change(joins=frozenset({("SDA", "BARE")}))),
        (Fault("U6", "shorted-across", "SDA", "OUT"), Change(joins=frozenset({("SDA", "OUT")}))),
        (Fault("C1", "shorted-across"), ground("SDA", 0, 5, short=True)),
        # Across a converter, either way round: it does not switch any more.
        (
            Fault("U5", "shorted-across", "MAIN", "OUT"),
            Change(joins=frozenset({("MAIN", "OUT")}), still=frozenset({at(Converter, "MAIN")})),
        ),
        (
            Fault("U5", "shorted-across", "OUT", "MAIN"),
            Change(joins=frozenset({("OUT", "MAIN")}), still=frozenset({at(Converter, "MAIN")})),
        ),
    ],
)
def test_shorts_from_end_to_end(fault: Fault, expected: Change) -> None:
    assert change(fault) == expected


@pytest.mark.parametrize(
    ("fault", "expected"),
    [
        # A resistor that has drifted: to one and a half to five times.
        (
            Fault("R5", "wrong-value"),
            Change(
                ohms=frozenset({(at(Pull, "SDA"), Interval(3e3, 10e3))}), slow=frozenset({"SDA", "LOGIC"})
            ),
        ),
        (
            Fault("R6", "wrong-value", value=Interval(1, 2)),
            Change(ohms=frozenset({(at(Pull, "SDA", 1), Interval(1, 2))}), slow=frozenset({"SDA"})),
        ),
        (
            Fault("F1", "wrong-value"),
            Change(ohms=frozenset({(at(Path, "OUT"), Interval(1.5, 5.0))}), slow=frozenset({"IN", "OUT"})),
        ),
        (
            Fault("R9", "wrong-value"),
            Change(hidden=frozenset({"MAIN"}), slow=frozenset(GRAPH.parts["R9"].nets)),
        ),
        (
            Fault("D1", "wrong-value"),
            Change(hidden=frozenset({"SDA"}), slow=frozenset(GRAPH.parts["D1"].nets)),
        ),
        (Fault("C2", "wrong-value"), Change(slow=frozenset(GRAPH.parts["C2"].nets))),
        # The second part of a path is none that has its ohms.
        (Fault("X2", "wrong-value"), Change(slow=frozenset(GRAPH.parts["X2"].nets))),
        # A worn cell gives half of its lowest level at least.
        (
            Fault("B1", "worn"),
            Change(volts=frozenset({(at(Source, "CELL"), Interval(1.5, 4.2))}), slow=frozenset({"CELL"})),
        ),
        (
            Fault("J1", "worn"),
            Change(volts=frozenset({(at(Source, "IN"), Interval(6, 12))}), slow=frozenset({"IN"})),
        ),
        (Fault("X9", "worn"), Change(slow=frozenset(GRAPH.parts["X9"].nets))),
    ],
)
def test_wrong_values_and_what_is_worn(fault: Fault, expected: Change) -> None:
    assert change(fault) == expected


def test_what_is_out_or_unknown_or_not_met_changes_nothing_but_what_it_takes_along_does() -> None:
    along = Fault("F1", "open")
    opened = silent("F1", cut(at(Path, "OUT")))
    fault = Fault("C1", "leaks", then=(along,), when=frozenset({"warm"}))
    leak = ground("SDA", 20, 1000, short=False)
    assert change(fault) == opened
    assert change(fault, under=("warm", "load")) == opened | leak
    assert change(fault, "C1", under=("warm",)) == opened
    assert change(fault, "F1", under=("warm",)) == leak
    assert change(Fault("nobody", "open", then=(along,))) == opened
    assert change(Fault("nobody", "open")) is NONE


@pytest.mark.parametrize(
    ("fault", "told"),
    [
        (Fault("F1", "open"), True),
        (Fault("nobody", "open"), False),
        (Fault("C1", "open"), False),  # no element knows it
        (Fault("C1", "leaks"), True),
        (Fault("C1", "leaks", "NOWHERE"), False),
        (Fault("U5", "shorted-across", "MAIN", "NOWHERE"), False),
        (Fault("C1", "damaged"), True),  # the eye finds it
        (Fault("nobody", "damaged"), False),
        (Fault("U4", "open"), True),  # it drives a clock
        (Fault("U9", "content-lost"), True),  # it commands a converter
        (Fault("U6", "content-lost"), False),
        (Fault("U6", "open"), False),
        (Fault("K1", "worn"), False),
    ],
)
def test_of_which_faults_the_circuit_tells(fault: Fault, told: bool) -> None:
    assert tells(GRAPH, fault) is told


def test_what_a_bench_state_leaves_out() -> None:
    """The adapter and the pack, which are outside; not the connector, which stays on the board."""
    assert absent(GRAPH, "on") == {"B1"}
    assert absent(GRAPH, "pack") == {"J1"}
    assert absent(GRAPH, "both") == frozenset()
    assert absent(GRAPH, "off") == {"J1", "B1"}
    assert absent(GRAPH, "nowhere") == {"J1", "B1"}


def test_what_is_unplugged_is_cut_still_and_silent_and_hides_nothing() -> None:
    assert without(GRAPH, frozenset({"R7", "U1", "nobody"})) == Change(
        still=frozenset({at(Converter, "MAIN")}), silent=frozenset({"R7", "U1"})
    )
    assert without(GRAPH, frozenset({"F1"})) == silent("F1", cut(at(Path, "OUT")))
    assert without(GRAPH, frozenset({"nobody"})) is NONE


def test_under_power_counts_what_carries_drives_or_commands_in_a_bench_state() -> None:
    whole = Change(
        cut=frozenset({at(Path, "OUT"), at(Load, "MAIN"), at(Junction, "SDA"), at(Path, "DOZE")}),
        still=frozenset({at(Converter, "MAIN"), at(Path, "DOZE")}),
        silent=frozenset({"U4", "U9", "U6"}),
        mute=frozenset({"U4", "U9", "U6"}),
        hidden=frozenset({"MAIN"}),
        slow=frozenset({"MAIN"}),
        grounds=frozenset({Ground("SDA", Interval(1, 2), short=False)}),
    )
    kept = Change(
        cut=frozenset({at(Path, "OUT")}),
        still=frozenset({at(Converter, "MAIN")}),
        silent=frozenset({"U4", "U9"}),
        mute=frozenset({"U4", "U9"}),
        grounds=whole.grounds,
    )
    assert under_power(GRAPH, whole, "on") == kept
    doze = frozenset({at(Path, "DOZE")})
    assert under_power(GRAPH, whole, "pack") == kept | Change(cut=doze, still=doze)


@pytest.mark.parametrize(
    ("net", "ohms"), [("SDA", 2e3), ("MAIN", 200.0), ("LOGIC", 20.0), ("BARE", math.inf), ("IN", math.inf)]
)
def test_what_holds_a_healthy_net(net: str, ohms: float) -> None:
    assert healthy_ohms(GRAPH, net) == ohms


def test_a_switch_that_is_held_down_in_one_state_holds_nothing_at_rest() -> None:
    """Of 2 kohm to a rail and 20 ohm of a key that is pressed in one bench state the 2 kohm count; the key
    alone does where there is nothing else."""
    key = Pull("SDA", "", Interval(20.0, 20.0), ("K1",), ("pressed",))
    assert healthy_ohms(replace(GRAPH, elements=(*GRAPH.elements, key)), "SDA") == 2e3
    assert healthy_ohms(replace(GRAPH, elements=(replace(key, net="BARE"),)), "BARE") == 20.0


@pytest.mark.parametrize(
    ("kind", "net", "expected"),
    [
        (Path, "OUT", ("OUT", "IN")),
        (Converter, "MAIN", ("MAIN", "OUT")),
        (Pull, "SDA", ("SDA", "LOGIC")),
        (Source, "IN", ("IN",)),
        (Delay, "LATE", ("LATE",)),
    ],
)
def test_the_nets_of_an_element(kind: type, net: str, expected: tuple[str, ...]) -> None:
    assert nets_of(GRAPH.elements[at(kind, net)]) == expected


def test_two_changes_are_both() -> None:
    one, other = cut(1), Change(cut=frozenset({2}), hidden=frozenset({"A"}))
    assert one | other == Change(cut=frozenset({1, 2}), hidden=frozenset({"A"}))
    assert one | NONE is one
    assert NONE | one is one
