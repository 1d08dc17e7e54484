from dataclasses import replace

from benchlore.book.elements import Source
from benchlore.circuit.power_tree import below, feeders, has_feed, is_up, power_tree
from tests.circuit.books import FAMILY, HERE, fact, good, with_net


def family(book=None):
    return (book or good()).families[FAMILY]


def shape(branches):
    return {branch.net.id: shape(branch.children) for branch in branches}


def test_rails_below_their_sources():
    book = with_net(good(), "MAIN", fed_by="FUSED")
    assert shape(power_tree(family(book))) == {"VIN": {"FUSED": {"MAIN": {}}}, "PACK": {}}
    assert [b.depth for b in power_tree(family(book))] == [0, 0]


def test_lines_hang_below_the_rail_that_pulls_them_up():
    assert shape(power_tree(family(), ("rail", "data")))["MAIN"] == {"SDA": {}}


def test_a_ring_still_shows_every_net_once():
    book = with_net(good(), "VIN", fed_by="FUSED", source=())
    assert shape(power_tree(family(book))) == {"PACK": {}, "MAIN": {}, "VIN": {"FUSED": {}}}


def test_up_by_what_is_stated_and_by_what_feeds():
    book = good()
    states, nets = book.states, family().nets
    assert is_up(family(), nets["MAIN"], states["pack-only"])
    assert not is_up(family(), nets["FUSED"], states["pack-only"])
    assert not is_up(family(), nets["MAIN"], states["all-off"])
    silent = with_net(book, "FUSED", up_in=())
    assert is_up(family(silent), family(silent).nets["FUSED"], states["adapter-only"])
    assert not is_up(family(silent), family(silent).nets["FUSED"], states["pack-only"])
    assert is_up(family(silent), replace(nets["VIN"], up_in=()), states["adapter-only"])


def test_a_ring_of_feeders_ends():
    book = with_net(good(), "VIN", fed_by="FUSED", up_in=(), source=(), set_by=())
    book = with_net(book, "FUSED", up_in=(), set_by=(), fed_by="VIN")
    assert not is_up(family(book), family(book).nets["VIN"], book.states["adapter-only"])


def test_feeders_by_facts_go_before_fed_by():
    facts = (fact("diode", names={"from": "PACK"}, drop="0.3 V 10%", states=("pack-only",)),)
    book = with_net(good(), "MAIN", fed_by="FUSED", set_by=facts)
    assert feeders(family(book), family(book).nets["MAIN"], "pack-only") == ("PACK",)
    assert feeders(family(book), family(book).nets["MAIN"], "adapter-only") == ("FUSED",)
    assert has_feed(family(book), family(book).nets["MAIN"], book.states["pack-only"])


def test_what_hangs_below_a_dead_rail():
    book = with_net(good(), "MAIN", fed_by="FUSED")
    state = book.states["adapter-only"]
    assert below(family(book), frozenset({"VIN"}), state) == {"FUSED", "MAIN", "SDA"}
    assert below(family(book), frozenset({"MAIN"}), state) == {"SDA"}
    assert below(family(book), frozenset({"PACK"}), state) == frozenset()


def test_a_net_with_a_feed_that_lives_stays_up():
    facts = (
        fact("diode", names={"from": "VIN"}, drop="0.3 V 10%"),
        fact("diode", names={"from": "PACK"}, drop="0.3 V 10%"),
    )
    book = with_net(good(), "MAIN", set_by=facts, up_in=())
    book = with_net(book, "PACK", up_in=("adapter-only",))
    state = book.states["adapter-only"]
    assert "MAIN" not in below(family(book), frozenset({"VIN"}), state)
    assert "MAIN" in below(family(book), frozenset({"VIN", "PACK"}), state)


def test_a_net_with_its_own_source_stays_up():
    book = with_net(good(), "MAIN", fed_by="FUSED", source=(Source(origin=HERE, from_="pack"),))
    assert "MAIN" in below(family(book), frozenset({"FUSED"}), book.states["adapter-only"])
    assert "MAIN" not in below(family(book), frozenset({"FUSED"}), book.states["pack-only"])
