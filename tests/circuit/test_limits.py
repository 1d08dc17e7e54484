"""What a board does at its limits, by hand: what counts as up, what a short trips, and what it opens."""

from __future__ import annotations

import pytest

from benchlore.circuit.graph.change import Fault
from benchlore.circuit.graph.mode_shares import mode_shares
from benchlore.circuit.graph.power import Setup
from benchlore.circuit.graph.predict import Ask, Prediction, Predictor
from benchlore.circuit.interval import Interval
from benchlore.vocabulary import PART_KINDS
from tests.circuit.boards import small

WORDS = {True: "up", False: "down", None: "not known"}


def waits(given: str, needs: str) -> str:
    """Whether a converter runs that needs a net at 5 V to be so: what `level` says of its output."""
    board = small(
        "nets:\n"
        "  IN: {source: {from: adapter, volts: 12 V}}\n"
        f"  EN: {{converter: {{part: U1, from: IN, volts: {given}}}}}\n"
        f"  OUT: {{converter: {{part: U2, from: IN, needs: {needs}, volts: 3 V}}}}\n"
        "parts: {U1: {kind: ic}, U2: {kind: ic}}"
    )
    level = Predictor(board).power(Setup("on")).level("OUT")
    return "not known" if level is None else "up" if level.low > 0 else "down"


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ("2.0 to 3.0 V", "up"),
        ("2.2 to 2.8 V", "up"),
        ("1.9 to 2.5 V", "not known"),
        ("2.5 to 3.1 V", "not known"),
        ("1.0 to 4.0 V", "not known"),
        ("1.0 to 1.9 V", "down"),
        ("3.1 to 4.0 V", "down"),
        ("1.0 to 2.0 V", "not known"),
        ("3.0 to 4.0 V", "not known"),
    ],
)
def test_a_window_is_met_with_its_ends(given: str, expected: str) -> None:
    assert waits(given, "{EN: 2 to 3 V}") == expected


def fed(limit: str, fuse: str = "", ohms: str = "10 mohm") -> Predictor:
    """12 V behind a limit, through a path, into a net that a capacitor can short."""
    return Predictor(
        small(
            "nets:\n"
            f"  IN: {{source: {{from: adapter, volts: 12 V, part: J1{limit}}}}}\n"
            f"  OUT: {{path: {{part: F1, from: IN, ohms: {ohms}{fuse}}}}}\n"
            "parts: {J1: {kind: connector}, F1: {kind: fuse}, C1: {kind: mlcc, nets: [OUT]}}"
        )
    )


def shorted(
    predictor: Predictor, mode: str = "shorted-to-ground", value: Interval | None = None
) -> tuple[str, str]:
    """What IN and OUT are with the capacitor shorted: their level, or that it is not known."""
    power = predictor.power(Setup("on"), Fault("C1", mode, "OUT", value=value))
    levels = (power.level("IN"), power.level("OUT"))
    return tuple("?" if v is None else f"{v.low:.3g} to {v.high:.3g}" for v in levels)  # type: ignore[return-value]


@pytest.mark.parametrize(
    ("limit", "fuse", "ohms", "expected"),
    [
        # A feed of 2 A holds no short: it folds back to a twentieth, shared with the path at most.
        (", limit: 2 A", "", "10 mohm", "0 to 0.6"),
        # Twice its rating opens a fuse: more than 2 A of a feed that gives them do.
        (", limit: 2.01 A", ", rating: 1 A", "10 mohm", "12 to 12"),
        (", limit: 2 A", ", rating: 1 A", "10 mohm", "0 to 0.6"),
        # Without a limit nobody knows whether it opens; the rail counts as pulled down behind little.
        ("", ", rating: 1 A", "10 mohm", "0 to 0.6"),
        ("", "", "1 ohm", "0 to 0.6"),
        ("", "", "1.1 ohm", "?"),
        ("", "", "9.9 ohm", "?"),
        ("", "", "10 ohm", "12 to 12"),
        # A feed that gives 2 A holds a short behind more than 6 ohm; behind less it may be a short of 5 ohm.
        (", limit: 2 A", "", "6.1 ohm", "12 to 12"),
        (", limit: 2 A", "", "5.9 ohm", "?"),
        # A path that limits itself parts a short from its feed.
        (", limit: 2 A", ", limit: 1 A", "10 mohm", "12 to 12"),
    ],
)
def test_a_short_against_its_feed(limit: str, fuse: str, ohms: str, expected: str) -> None:
    assert shorted(fed(limit, fuse, ohms))[0] == expected


@pytest.mark.parametrize(
    ("ohms", "expected"),
    [
        (Interval(7.0, 8.0), "12 to 12"),  # 1.7 A at most, of 2 A
        (Interval(3.0, 4.0), "0 to 0.6"),  # 3 A at least: it folds back
        (Interval(5.0, 7.0), "?"),  # 1.7 to 2.4 A
    ],
)
def test_a_leak_against_a_limit_of_two_amperes(ohms: Interval, expected: str) -> None:
    assert shorted(fed(", limit: 2 A"), "leaks", value=ohms)[0] == expected


def test_a_leak_through_a_path_that_limits_itself() -> None:
    """1 A: 3 A are over it for sure, and it opens; 0.9 A are not; of 0.8 to 1.2 A nobody knows."""
    board = fed(", limit: 5 A", ", limit: 1 A")
    assert shorted(board, "leaks", value=Interval(4.0, 4.0)) == ("12 to 12", "0 to 0")
    assert shorted(board, "leaks", value=Interval(13.0, 13.0)) == ("12 to 12", "12 to 12")


def test_what_counts_as_up_is_seven_tenths_of_the_lowest_healthy_level() -> None:
    """A little above it is up, a little below is not, and of a level on both sides it is not known."""
    board = Predictor(
        small(
            "nets:\n"
            "  IN: {source: {from: adapter, volts: 5 V}}\n"
            "  PACK: {source: {from: pack, cells: 1, each: 4 V}}\n"
            "  LINE:\n"
            "    pull:\n"
            "      - {part: R1, to: IN, ohms: 1 kohm}\n"
            "      - {part: R2, to: PACK, in: [pack], ohms: 1 kohm}\n"
            "parts: {R1: {kind: resistor}, R2: {kind: resistor}, C1: {kind: mlcc, nets: [LINE]}}"
        )
    )

    def up(low: float, high: float) -> str:
        """With a leak that leaves so much of 5 V."""
        ohms = Interval(*(1000 * v / (5 - v) for v in (low, high)))
        return WORDS[board.power(Setup("on"), Fault("C1", "leaks", "LINE", value=ohms)).is_up("LINE")]

    lowest = board.board.lowest["LINE"]
    assert lowest == pytest.approx(5.0, rel=1e-6) or lowest == pytest.approx(4.0, rel=1e-6)
    share = 0.7 * lowest
    assert up(share + 0.01, share + 0.02) == "up"
    assert up(share - 0.02, share - 0.01) == "down"
    assert up(share - 0.01, share + 0.01) == "not known"


def test_amperes_stand_while_all_rails_do_and_are_next_to_nothing_while_none_does() -> None:
    board = small(
        "nets:\n"
        "  IN: {source: {from: adapter, volts: 12 V, limit: 2 A, part: J1}, draw: {'on': 100 to 300 mA}}\n"
        "  A: {converter: {part: U1, from: IN, volts: 5 V}}\n"
        "  B: {converter: {part: U2, from: IN, volts: 3 V}}\n"
        "parts: {J1: {kind: connector}, U1: {kind: ic}, U2: {kind: ic}, C1: {kind: mlcc, nets: [A]}}"
    )
    predictor, ask = Predictor(board), Ask("IN", "amps", Setup("on"))
    assert predictor.healthy(ask) == Interval(0.1, 0.3)
    none = Fault("U1", "open", then=(Fault("U2", "open"),))
    idle = predictor.predict([ask], none)[ask].reading
    assert idle is not None
    assert (idle.low, idle.high) == pytest.approx((0.0, 0.01))
    assert predictor.predict([ask], Fault("U1", "open"))[ask].reading is None, "B still draws something"


@pytest.mark.parametrize("kind", sorted(PART_KINDS))
def test_the_shares_of_a_kinds_modes_are_one_in_all(kind: str) -> None:
    for power in (False, True):
        shares = mode_shares(kind, power=power)
        assert not shares or sum(shares.values()) == pytest.approx(1, abs=1e-9)
        assert all(0 < share <= 1 for share in shares.values())


def test_a_prediction_is_known_where_it_is_healthy_or_read() -> None:
    reading = Interval(1.0, 2.0)
    known = [Prediction(r, healthy=h).known for r in (None, reading) for h in (False, True)]
    assert known == [False, True, True, True]
