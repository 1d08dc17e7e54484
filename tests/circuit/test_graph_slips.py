"""Small boards on which a slip of the graph would show: what feeds what, in which order, and what is near."""

from __future__ import annotations

import pytest

from benchlore.circuit.graph.change import Fault
from benchlore.circuit.graph.network import GROUND, Diode, Draw, Feed, Network, Resistor, at_middle, bounds
from benchlore.circuit.graph.power import Setup
from benchlore.circuit.graph.predict import Ask, Prediction, Predictor
from benchlore.circuit.interval import Interval
from tests.circuit.boards import small


def exact(value: float) -> Interval:
    return Interval(value, value)


@pytest.mark.parametrize("volts", [(5.0, 3.0), (3.0, 5.0), (5.0, 5.0), (3.0, 5.0, 4.0)])
def test_of_ideal_feeds_at_one_node_the_highest_holds_it(volts: tuple[float, ...]) -> None:
    feeds = tuple(Feed("n", exact(v)) for v in volts)
    found = Network((*feeds, Resistor("n", GROUND, exact(10.0))))
    assert at_middle(found, "n") == 5.0
    assert bounds(found, "n") == Interval(5.0, 5.0)


@pytest.mark.parametrize(
    ("left", "right", "expected"),
    [
        ((4.9, 5.1), (3.0, 3.2), (4.9 - 0.4, 5.1 - 0.2)),
        ((3.0, 3.2), (4.9, 5.1), (4.9 - 0.4, 5.1 - 0.2)),
        ((4.0, 5.0), (4.5, 4.6), (4.5 - 0.4, 5.0 - 0.2)),
    ],
)
def test_the_higher_of_two_feeds_behind_diodes_sets_either_end(left, right, expected) -> None:
    """Each drops 0.2 to 0.4 V; the lower end is the higher of the two low ends less the largest drop."""
    drop = Interval(0.2, 0.4)
    found = Network(
        (
            Feed("a", Interval(*left)),
            Feed("b", Interval(*right)),
            Diode("a", "out", drop),
            Diode("b", "out", drop),
            Resistor("out", GROUND, exact(1e4)),
        )
    )
    limits = bounds(found, "out")
    assert (limits.low, limits.high) == pytest.approx(expected, abs=2e-3)


def test_a_diode_that_is_off_between_two_held_nodes_changes_neither() -> None:
    found = Network(
        (Feed("a", exact(3.0)), Feed("b", exact(5.0)), Diode("a", "b", exact(0.3)), Draw("b", exact(0.1)))
    )
    assert bounds(found, "b", "a") == Interval(2.0, 2.0)


def bridged(ohms: str) -> str:
    """IN with a short at B, behind a path into A, which a part with both its ends shorted joins to B."""
    board = small(
        "nets:\n"
        "  IN: {source: {from: adapter, volts: 12 V, part: J1}}\n"
        f"  A: {{path: {{part: F1, from: IN, ohms: {ohms}}}}}\n"
        "  B: {load: 10 kohm}\n"
        "parts: {J1: {kind: connector}, F1: {kind: fuse}, C1: {kind: mlcc, nets: [B]},\n"
        "        Q1: {kind: mosfet, nets: [A, B]}}"
    )
    fault = Fault("C1", "shorted-to-ground", "B", then=(Fault("Q1", "shorted-across", "A", "B"),))
    level = Predictor(board).power(Setup("on"), fault).level("IN")
    return "?" if level is None else f"{level.low:.3g} to {level.high:.3g}"


def test_a_short_behind_a_bridge_has_the_ohms_of_both() -> None:
    """Behind an ohm at most the feed folds back; the bridge has up to 0.1 of it."""
    assert bridged("0.89 ohm") == "0 to 0.6"
    assert bridged("0.91 ohm") == "?"


def test_a_net_of_unknown_level_that_nothing_touches_reads_as_before() -> None:
    board = small(
        "nets:\n"
        "  IN: {source: {from: adapter, volts: 12 V}}\n"
        "  EN: {converter: {part: U1, from: IN, volts: 1.0 to 4.0 V}}\n"
        "  OUT: {converter: {part: U2, from: IN, needs: {EN: 2 to 3 V}, volts: 3 V}}\n"
        "  LINE: {kind: data, pull: {part: R1, to: IN, ohms: 10 kohm}}\n"
        "parts: {U1: {kind: ic}, U2: {kind: ic, nets: [LINE]}, R1: {kind: resistor},\n"
        "        C1: {kind: mlcc, nets: [OUT]}}"
    )
    predictor, ask = Predictor(board), Ask("OUT", "dc-volts", Setup("on"))
    assert predictor.healthy(ask) is None

    def out(fault: Fault) -> Prediction:
        return predictor.predict([ask], fault)[ask]

    assert out(Fault("R1", "open")).healthy
    assert not out(Fault("C1", "shorted-to-ground", "OUT")).healthy
    assert not out(Fault("C1", "leaks", "OUT", value=Interval(5.0, 9.0))).healthy
    assert not out(Fault("U2", "open")).healthy


def test_the_first_part_of_a_path_is_its_own() -> None:
    """F1 is the path from IN to OUT, in the housing of X1, which lies across two lines besides."""
    board = small(
        "nets:\n"
        "  IN: {source: {from: adapter, volts: 12 V}}\n"
        "  OUT: {path: {part: [F1, X1], from: IN, ohms: 1 ohm}}\n"
        "  P: {kind: data, pull: {part: [R1, X1], to: IN, ohms: 10 kohm}}\n"
        "  Q: {kind: data, load: 10 kohm}\n"
        "parts: {F1: {kind: fuse}, R1: {kind: resistor}, X1: {kind: connector, nets: [Q, P]},\n"
        "        R9: {kind: resistor, nets: [Q, P]}}"
    )
    predictor = Predictor(board)

    def joined(part: str) -> frozenset[tuple[str, str]]:
        return predictor.power(Setup("on"), Fault(part, "shorted-across")).change.joins

    assert joined("X1") == joined("R9") == frozenset({("Q", "P")})
    assert joined("R1") == frozenset({("P", "IN")})
    assert joined("F1") == frozenset({("IN", "OUT")})
    for part in ("F1", "X1"):
        level = predictor.power(Setup("on"), Fault(part, "open")).level("OUT")
        assert level == Interval(0.0, 0.0), part
    # A resistor that has drifted: only the first part is it.
    drifted = [predictor.power(Setup("on"), Fault(p, "wrong-value")).change.ohms for p in ("R1", "X1")]
    assert [len(found) for found in drifted] == [1, 0]
