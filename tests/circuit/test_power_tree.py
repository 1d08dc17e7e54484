import pytest

from benchlore.circuit.healthy import healthy
from benchlore.circuit.power_tree import feeders, held_by_cells, in_start_order, level, power_tree, ring
from tests.circuit.boards import small_book
from tests.circuit.books import FAMILY, good, with_net

ON_THE_FUSE = {"from": "FUSED", "part": "U1", "volts": "3.3 V 2%"}


def family(book=None):
    return (book or good()).families[FAMILY]


def board(book=None):
    return healthy(book or good(), family(book))


def shape(branches):
    return {branch.net.id: shape(branch.children) for branch in branches}


def test_rails_below_their_sources():
    assert shape(power_tree(family())) == {"VIN": {"FUSED": {"MAIN": {}}}, "PACK": {}}
    assert [b.depth for b in power_tree(family())] == [0, 0]


def test_lines_hang_below_the_rail_that_pulls_them_up():
    assert shape(power_tree(family(), ("rail", "data")))["VIN"]["FUSED"]["MAIN"] == {"SDA": {}}


def test_a_ring_still_shows_every_net_once():
    book = with_net(good(), "VIN", path={"from": "FUSED"}, source=None)
    assert shape(power_tree(family(book))) == {"PACK": {}, "VIN": {"FUSED": {"MAIN": {}}}}
    assert ring(family(book), family(book).nets["VIN"]) == ("FUSED", "VIN")
    assert ring(family(), family().nets["MAIN"]) == ()


def test_up_by_what_feeds():
    book = board()
    assert book.is_up("MAIN", "pack-only")
    assert not book.is_up("FUSED", "pack-only")
    assert not book.is_up("MAIN", "all-off")
    assert book.up_in("FUSED") == ("adapter-only",)


def test_a_net_that_nothing_is_said_to_feed_is_up_where_it_says_so_or_with_any_source():
    said = with_net(good(), "AUX_RAIL", nominal="1.8 V", in_=["pack-only"])
    assert board(said).up_in("AUX_RAIL") == ("pack-only",)
    silent = with_net(good(), "AUX_RAIL", nominal="1.8 V")
    assert set(board(silent).up_in("AUX_RAIL")) == {"adapter-only", "pack-only"}
    unknown = with_net(good(), "AUX_RAIL")
    assert set(board(unknown).up_in("AUX_RAIL")) == {"adapter-only", "pack-only"}


def test_nothing_is_worked_out_from_a_ring():
    book = with_net(good(), "VIN", path={"from": "FUSED"}, source=None)
    assert not board(book).is_up("VIN", "adapter-only")
    assert board(book).of(family(book).measurements["fused-rail"]) is None


def test_a_clock_and_a_delay_are_up_with_what_they_hang_on():
    made = small_book("""
nets:
  MAIN: {source: {from: adapter, volts: 5 V 2%}}
  CLK: {kind: clock, signal: {by: U1, needs: MAIN, hertz: 32.768 kHz 0.01%}}
  LATE:
    kind: control
    delay: {from: MAIN, ohms: 100 kohm 5%, farads: 1 uF 10%, threshold: 2.5 V 1%}
parts:
  U1: {kind: ic}
""")
    assert [healthy(*made).up_in(net) for net in ("CLK", "LATE")] == [("on", "both")] * 2


def test_feeders_are_those_of_the_bench_state():
    assert board().feeders("MAIN", "pack-only") == ("PACK",)
    assert board().feeders("MAIN", "adapter-only") == ("FUSED",)
    assert feeders(family(), family().nets["MAIN"]) == ("FUSED", "PACK")


def test_what_hangs_below_a_dead_rail():
    assert board().below(frozenset({"VIN"}), "adapter-only") == {"FUSED", "MAIN", "SDA"}
    assert board().below(frozenset({"MAIN"}), "adapter-only") == {"SDA"}
    assert board().below(frozenset({"PACK"}), "adapter-only") == frozenset()


def test_a_net_with_a_feed_that_lives_stays_up():
    made = small_book("""
nets:
  IN: {source: {from: adapter, volts: 5 V 2%}}
  CELL: {source: {from: pack, cells: 1, each: 3.0 to 4.2 V}}
  MAIN:
    path:
      - {from: IN, drop: 0.3 V 10%}
      - {from: CELL, drop: 0.3 V 10%}
""")
    assert "MAIN" not in healthy(*made).below(frozenset({"IN"}), "both")
    assert "MAIN" in healthy(*made).below(frozenset({"IN"}), "on")
    assert "MAIN" in healthy(*made).below(frozenset({"IN", "CELL"}), "both")


def test_a_net_with_its_own_source_stays_up():
    book = with_net(good(), "MAIN", converter=ON_THE_FUSE, source="pack")
    assert "MAIN" in board(book).below(frozenset({"FUSED"}), "adapter-only")
    assert "MAIN" not in board(book).below(frozenset({"FUSED"}), "pack-only")


CELL_BOARD = """
nets:
  IN: {source: {from: adapter, volts: 5 V, part: J1}}
  CELL: {source: {from: clock-cell, volts: 3 V, built_in: true, part: BT1}}
  BACK: {load: 1 kohm}
  SW: {path: [{part: Q1, from: CELL, ohms: 1 ohm}, {part: F1, from: BACK, ohms: 1 ohm}]}
  OVER: {load: 1 kohm}
  DIO: {path: [{part: D1, from: SW, drop: 0.3 V}, {part: D2, from: OVER, drop: 0.3 V}]}
  LOW: {converter: {part: U1, from: DIO, needs: IN, volts: 1 V}}
  CLOCK: {converter: {part: U2, from: DIO, needs: SW, volts: 1 V}}
  LINE: {kind: data, pull: {part: R1, to: CLOCK, ohms: 10 kohm}}
  DOWN: {kind: data, pull: {part: R2, to: ground, ohms: 10 kohm}}
  TICK: {kind: clock, signal: {by: U2, needs: CLOCK, hertz: 32 kHz 1%}}
  OTHER: {kind: clock, signal: {by: U1, needs: [CLOCK, IN], hertz: 32 kHz 1%}}
parts:
  J1: {kind: connector}
  BT1: {kind: pack}
  Q1: {kind: mosfet}
  D1: {kind: diode}
  D2: {kind: diode}
  F1: {kind: fuse}
  U1: {kind: ic}
  U2: {kind: ic}
  R1: {kind: resistor}
  R2: {kind: resistor}
"""


@pytest.mark.parametrize(
    ("out", "alive"),
    [
        ((), "BACK CELL CLOCK DIO LINE SW TICK"),
        (("J1",), "BACK CELL CLOCK DIO LINE SW TICK"),
        (("F1",), "CELL CLOCK DIO LINE SW TICK"),
        (("R1",), "BACK CELL CLOCK DIO SW TICK"),
        (("D1", "J1"), "BACK CELL SW"),
        (("Q1",), "CELL"),
        (("BT1",), ""),
    ],
)
def test_what_a_soldered_cell_keeps_alive(out, alive):
    """What is made, passed on in either way or pulled up of it alone: not through a diode from behind, not
    what needs the adapter, and nothing behind a part that is out."""
    found = held_by_cells(small_book(CELL_BOARD)[1], out)
    assert " ".join(sorted(found)) == alive
    assert set(found.values()) <= {"clock-cell"}


def test_rails_from_the_sources_down_and_lines_after_what_they_hang_on():
    board = small_book(CELL_BOARD)[1]
    rails = [net.id for net in in_start_order(board)]
    assert rails == ["IN", "CELL", "BACK", "OVER", "SW", "DIO", "LOW", "CLOCK"]
    assert [net.id for net in in_start_order(board, rails=False)] == ["DOWN", "TICK", "OTHER", "LINE"]


def test_a_source_is_level_0_and_each_net_one_above_the_highest_that_feeds_it():
    board = small_book(CELL_BOARD)[1]
    found = {net.id: level(board, net) for net in board.nets.values()}
    assert found == {
        **dict.fromkeys(("IN", "CELL", "BACK", "OVER", "DOWN"), 0),
        "SW": 1,
        "DIO": 2,
        "LOW": 3,
        "CLOCK": 3,
        "LINE": 4,
        "TICK": 0,
        "OTHER": 0,
    }
