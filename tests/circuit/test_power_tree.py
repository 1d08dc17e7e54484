from benchlore.circuit.healthy import healthy
from benchlore.circuit.power_tree import feeders, power_tree, ring
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
