"""Small boards on which a slip of the graph would show: what feeds what, in which order, and what is near."""

from __future__ import annotations

import pytest

from benchlore.circuit.graph.change import Fault
from benchlore.circuit.graph.network import GROUND, Diode, Draw, Feed, Network, Resistor, at_middle, bounds
from benchlore.circuit.graph.power import Setup, make_board
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


def test_a_diode_that_only_a_lower_drop_lets_conduct_lifts_what_is_behind_it() -> None:
    """5 V over 100 ohm, 100 ohm and 200 ohm: 1.25 V across the diode beside the second. One that drops 1 V
    conducts: (5 - V - 1) / 100 = V / 200."""
    found = Network(
        (
            Feed("in", exact(5.0)),
            Resistor("in", "x", exact(100.0)),
            Resistor("x", "out", exact(100.0)),
            Diode("x", "out", Interval(1.0, 2.0)),
            Resistor("out", GROUND, exact(200.0)),
        )
    )
    limits = bounds(found, "out")
    assert (limits.low, limits.high) == pytest.approx((2.5, 8 / 3), abs=1e-3)


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
    ((_, ohms),) = drifted[0]
    assert ohms == Interval(1.5 * 10e3, 5 * 10e3), "to twice and more"


PARTS = (
    "parts: {J1: {kind: connector}, F1: {kind: fuse}, C1: {kind: mlcc, nets: [OUT]}, R1: {kind: resistor}}"
)


def levels(nets: str, parts: str, fault: Fault, *names: str, state: str = "on") -> list[str]:
    """What some nets are with a fault."""
    power = Predictor(small(f"nets:\n{nets}{parts}")).power(Setup(state), fault)
    found = [power.level(name) for name in names]
    return ["?" if v is None else f"{v.low:.3g} to {v.high:.3g}" for v in found]


def test_an_open_divider_moves_its_own_converter_alone() -> None:
    nets = (
        "  IN: {source: {from: adapter, volts: 12 V}}\n"
        "  A: {converter: {part: U1, from: IN, reference: 1 V, top: [R1, 10 kohm], bottom: [R2, 10 kohm]}}\n"
        "  B: {converter: {part: U2, from: IN, reference: 1 V, top: [R3, 30 kohm], bottom: [R4, 10 kohm]}}\n"
        "  C: {converter: {part: U3, from: IN, volts: 3 V}}\n"
    )
    parts = "parts: {" + ", ".join(f"R{n}: {{kind: resistor}}" for n in range(1, 5))
    parts += ", U1: {kind: ic}, U2: {kind: ic}, U3: {kind: ic}}"
    for part, expected in (
        ("R2", ["1 to 1", "4 to 4", "3 to 3"]),
        ("R4", ["2 to 2", "1 to 1", "3 to 3"]),
        ("R1", ["12 to 12", "4 to 4", "3 to 3"]),
        ("R3", ["2 to 2", "12 to 12", "3 to 3"]),
    ):
        assert levels(nets, parts, Fault(part, "open"), "A", "B", "C") == expected, part


def test_an_open_divider_of_what_steps_up_goes_nobody_knows_where() -> None:
    """Without its top it runs to its limit, which is not its input's; without its bottom to the reference."""
    for way, top in (("both", "?"), ("up", "?"), ("down", "12 to 12")):
        nets = (
            "  IN: {source: {from: adapter, volts: 12 V}}\n"
            "  A: {converter: {part: U1, from: IN, reference: 1 V, top: [R1, 10 kohm], "
            f"bottom: [R2, 10 kohm], way: {way}}}}}\n"
        )
        parts = "parts: {R1: {kind: resistor}, R2: {kind: resistor}, U1: {kind: ic}}"
        assert levels(nets, parts, Fault("R1", "open"), "A") == [top], way
        assert levels(nets, parts, Fault("R2", "open"), "A") == ["1 to 1"], way


def test_a_part_in_two_paths_is_shorted_from_end_to_end_of_the_first() -> None:
    board = small(
        "nets:\n"
        "  IN: {source: {from: adapter, volts: 12 V}}\n"
        "  A: {path: {part: F1, from: IN, ohms: 1 ohm}}\n"
        "  B: {path: {part: F1, from: IN, ohms: 1 ohm}, pull: {part: F1, to: A, ohms: 1 kohm}}\n"
        "parts: {F1: {kind: fuse}}"
    )
    change = Predictor(board).power(Setup("on"), Fault("F1", "shorted-across")).change
    assert change.joins == {("IN", "A")}


def test_a_node_that_nothing_meets_lies_at_ground() -> None:
    empty = Network(())
    assert at_middle(empty, "n") == 0.0
    assert bounds(empty, "n") == bounds(empty, "n", "m") == Interval(0.0, 0.0)
    one = Network((Feed("a", exact(5.0)),))
    assert bounds(one, "a", "n") == Interval(5.0, 5.0)
    assert bounds(one, "n", "a") == Interval(-5.0, -5.0)


def test_what_follows_its_supply_down_is_what_holds_the_net() -> None:
    """Two converters on one net: the higher one falls with its rail, and the other holds on."""
    nets = (
        "  IN: {source: {from: adapter, volts: 12 V, part: J1}}\n"
        "  LOW: {converter: {part: U1, from: IN, volts: 4 V}}\n"
        "  OUT:\n"
        "    converter:\n"
        "      - {part: U2, from: IN, volts: 3 V}\n"
        "      - {part: U3, from: LOW, volts: 5 V}\n"
        "  NEXT: {converter: {part: U4, from: OUT, volts: 9 V}}\n"
    )
    parts = "parts: {J1: {kind: connector}, U1: {kind: ic}, U2: {kind: ic}, U3: {kind: ic}, U4: {kind: ic}}"
    assert levels(nets, parts, Fault("nobody", "open"), "OUT", "NEXT") == ["4 to 4", "4 to 4"]
    assert levels(nets, parts, Fault("U3", "open"), "OUT", "NEXT") == ["3 to 3", "3 to 3"]
    assert levels(nets, parts, Fault("U1", "open"), "OUT", "NEXT") == ["3 to 3", "3 to 3"]
    assert levels(nets, parts, Fault("U2", "open"), "OUT", "NEXT") == ["4 to 4", "4 to 4"]


def test_a_short_is_followed_past_what_is_no_path() -> None:
    """A pull-up from another line meets the short before the path that feeds it."""
    nets = (
        "  LINE: {kind: data, pull: {part: R1, to: OUT, ohms: 10 kohm}}\n"
        "  IN: {source: {from: adapter, volts: 12 V, part: J1}}\n"
        "  OUT: {path: {part: F1, from: IN, ohms: 10 mohm}}\n"
    )
    assert levels(nets, PARTS, Fault("C1", "shorted-to-ground", "OUT"), "IN") == ["0 to 0.6"]


def test_a_short_of_no_ohms_at_the_feed_itself() -> None:
    nets = "  OUT: {source: {from: adapter, volts: 12 V, limit: 2 A, part: J1}}\n"
    nothing = Interval(0.0, 0.0)
    found = levels(nets, PARTS, Fault("C1", "shorted-to-ground", "OUT", value=nothing), "OUT")
    assert found == ["0 to 0.6"]
    assert levels(nets, PARTS, Fault("C1", "leaks", "OUT", value=nothing), "OUT") == ["0 to 0.6"]


def test_a_stuck_line_with_a_leak_is_held_by_nobody() -> None:
    nets = (
        "  IN: {source: {from: adapter, volts: 12 V, part: J1}}\n"
        "  OUT: {kind: data, pull: {part: R1, to: IN, ohms: 10 kohm}}\n"
    )
    fault = Fault("C1", "stuck", "OUT", then=(Fault("C1", "leaks", "OUT", value=exact(100.0)),))
    assert levels(nets, PARTS, fault, "OUT", "IN") == ["0 to 0.4", "12 to 12"]


def test_a_source_that_waits_comes_in_where_it_is_plugged_in() -> None:
    nets = (
        "  EN: {source: {from: adapter, volts: 3 V}}\n"
        "  IN: {source: {from: adapter, needs: EN, volts: 12 V, part: J1}}\n"
        "  OUT: {path: {part: F1, from: IN, ohms: 10 mohm}}\n"
    )
    whole = Fault("R1", "open")
    assert levels(nets, PARTS, whole, "IN", "OUT") == ["12 to 12", "12 to 12"]
    assert levels(nets, PARTS, whole, "IN", state="pack") == ["0 to 0"]
    assert levels(nets, PARTS, Fault("J1", "open"), "IN") == ["0 to 0"]


def test_what_a_path_draws_beyond_what_goes_on() -> None:
    """F1 carries 0.5 to 2 A, of which 0.3 A go on through F2 and 0.4 A through F3."""
    board = small(
        "nets:\n"
        "  IN: {source: {from: adapter, volts: 12 V}}\n"
        "  A: {path: {part: F1, from: IN, ohms: 10 mohm, load: 0.5 to 2 A}}\n"
        "  B: {path: {part: F2, from: A, ohms: 10 mohm, load: 0.1 to 0.3 A}}\n"
        "  C: {path: {part: F3, from: A, ohms: 10 mohm, load: 0.2 to 0.4 A}}\n"
        "  D: {path: {part: F4, from: C, ohms: 10 mohm, load: 0 to 1 A}}\n"
        "  E: {path: {part: F5, from: C, ohms: 10 mohm}}\n"
        "parts: {" + ", ".join(f"F{n}: {{kind: fuse}}" for n in range(1, 6)) + "}"
    )
    ready = make_board(board)
    drawn = {board.elements[i].end: (v.low, v.high) for i, v in ready.draws.items()}  # type: ignore[union-attr]
    assert drawn == {
        "A": pytest.approx((0.5, 1.3)),
        "B": pytest.approx((0.1, 0.3)),
        "C": (0.0, 0.0),  # more goes on than it is said to carry
        "D": pytest.approx((0.0, 1.0)),
    }


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [("5 V", "3 V", "5 to 5"), ("3 V", "5 V", "5 to 5"), ("5 V", "5 V", "5 to 5")],
)
def test_of_two_that_hold_a_net_the_higher_does(first: str, second: str, expected: str) -> None:
    nets = (
        "  IN: {source: {from: adapter, volts: 12 V}}\n"
        "  OUT:\n"
        "    converter:\n"
        f"      - {{part: U1, from: IN, volts: {first}}}\n"
        f"      - {{part: U2, from: IN, volts: {second}}}\n"
    )
    parts = "parts: {U1: {kind: ic}, U2: {kind: ic}}"
    assert levels(nets, parts, Fault("nobody", "open"), "OUT") == [expected]
    left = {"U1": second, "U2": first}
    for part, volts in left.items():
        assert levels(nets, parts, Fault(part, "open"), "OUT") == [f"{volts[0]} to {volts[0]}"]


@pytest.mark.parametrize(
    ("after", "fault", "expected"),
    [
        ("after: {FIRST: 5 to 20 ms}", None, (0.005, 0.02)),
        ("after: {FIRST: 5 to 20 ms}", Fault("U1", "open"), None),
        ("after: {FIRST: 5 to 20 ms, IN: 1 to 2 ms}", None, None),
    ],
)
def test_a_rail_that_waits_for_one_other_follows_it_in_its_time(after, fault, expected) -> None:
    board = small(
        "nets:\n"
        "  IN: {source: {from: adapter, volts: 12 V}}\n"
        "  FIRST: {converter: {part: U1, from: IN, volts: 5 V}}\n"
        f"  NEXT: {{converter: {{part: U2, from: IN, volts: 3 V}}, {after}}}\n"
        "  THIRD: {converter: {part: U3, from: IN, volts: 2 V}, after: {NEXT: 30 to 40 ms}}\n"
        "parts: {U1: {kind: ic}, U2: {kind: ic}, U3: {kind: ic}}"
    )
    ask = Ask("NEXT", "delay", Setup("on"))
    predictor = Predictor(board)
    found = predictor.predict([ask], fault)[ask].reading if fault else predictor.healthy(ask)
    assert found == (None if expected is None else Interval(*expected))


def test_what_two_hold_of_which_one_is_not_known_is_not_known() -> None:
    nets = (
        "  IN: {source: {from: adapter, volts: 12 V}}\n"
        "  EN: {converter: {part: U1, from: IN, volts: 1.0 to 4.0 V}}\n"
        "  OUT:\n"
        "    converter:\n"
        "      - {part: U2, from: IN, volts: 3 V}\n"
        "      - {part: U3, from: IN, needs: {EN: 2 to 3 V}, volts: 5 V}\n"
    )
    parts = "parts: {U1: {kind: ic}, U2: {kind: ic}, U3: {kind: ic}}"
    assert levels(nets, parts, Fault("nobody", "open"), "OUT") == ["?"]
    assert levels(nets, parts, Fault("U3", "open"), "OUT") == ["3 to 3"]
    assert levels(nets, parts, Fault("U2", "open"), "OUT") == ["?"]


def test_a_diode_with_a_resistance_loses_both() -> None:
    """12 V less 0.5 V, less an ampere over an ohm."""
    nets = (
        "  IN: {source: {from: adapter, volts: 12 V}}\n"
        "  OUT: {path: {part: D1, from: IN, drop: 0.5 V, ohms: 1 ohm, load: 1 A}}\n"
    )
    board = Predictor(small(f"nets:\n{nets}parts: {{D1: {{kind: diode}}}}"))
    level = board.power(Setup("on")).level("OUT")
    assert level is not None
    assert (level.low, level.high) == pytest.approx((10.5, 10.5), abs=0.02)


def test_a_command_that_may_be_heard_or_not_leaves_its_converter_unknown() -> None:
    for idle, expected in (("2.5 V", "5 to 5"), ("1 V", "1 to 1"), ("1 to 4 V", "?")):
        nets = (
            "  IN: {source: {from: adapter, volts: 12 V}}\n"
            f"  EN: {{converter: {{part: U1, from: IN, volts: {idle}}}}}\n"
            "  OUT:\n"
            "    converter:\n"
            "      {part: U2, from: IN, volts: 5 V, command: {by: U3, needs: {EN: 2 to 3 V}, "
            "default: {volts: 1 V}}}\n"
        )
        parts = "parts: {U1: {kind: ic}, U2: {kind: ic}, U3: {kind: ic}}"
        assert levels(nets, parts, Fault("nobody", "open"), "OUT") == [expected], idle
        assert levels(nets, parts, Fault("U3", "content-lost"), "OUT") == ["1 to 1"], idle


def test_a_feed_behind_half_an_ohm_gives_what_is_left() -> None:
    """5 V behind 0.5 ohm into 4.5 ohm: 4.5 V."""
    found = Network((Feed("a", exact(5.0), exact(0.5)), Resistor("a", GROUND, exact(4.5))))
    assert at_middle(found, "a") == pytest.approx(4.5)


def test_what_is_drawn_elsewhere_moves_no_feed() -> None:
    """Half an ampere of 5 V; an ampere that comes in elsewhere is none of it."""
    for elsewhere in ("a", "z"):
        found = Network(
            (
                Feed("m", exact(5.0)),
                Resistor("m", GROUND, exact(10.0)),
                Draw(elsewhere, exact(-1.0)),
                Resistor(elsewhere, GROUND, exact(1.0)),
            )
        )
        assert at_middle(found, "m") == pytest.approx(5.0)
        assert at_middle(found, elsewhere) == pytest.approx(1.0)
