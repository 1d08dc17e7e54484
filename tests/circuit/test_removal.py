from dataclasses import replace

import pytest

from benchlore.book.model import frozen_map
from benchlore.circuit.removal import minutes_off, reads_wrong, removal_order
from tests.circuit.books import FAMILY, good


def order(book, net):
    family = book.families[FAMILY]
    return removal_order(book, family, family.nets[net])


def test_likely_and_easy_parts_come_first():
    found = order(good(), "MAIN")
    # The display board unplugs in a minute. The capacitor: 4 jobs. The fuse is not on the net.
    assert [c.part.id for c in found] == ["J1", "C1", "U1"]
    assert [c.probability for c in found] == pytest.approx([0.5 / 5.5, 4.5 / 5.5, 0.5 / 5.5])
    assert [c.seen for c in found] == [0, 4, 0]
    assert found[0].worth > found[1].worth > found[2].worth


def test_what_unplugs_takes_the_minutes_to_unplug():
    book = good()
    parts = book.families[FAMILY].parts
    assert minutes_off(book, parts["J1"]) == book.shop.unplug_minutes
    assert minutes_off(book, parts["U1"]) == 30


def test_the_hard_part_comes_last_unless_the_jobs_say_otherwise():
    """Common practice, no source: parts that share a shorted line are removed likely and easy ones first."""
    book = good()
    found = order(book, "MAIN")
    assert found[-1].part.id == "U1"
    fault = book.faults["wren-5/rail-short"]
    proved = replace(
        fault,
        id="wren-5/converter-short",
        cause=replace(fault.cause, part="U1"),
        seen=2000,
    )
    book = replace(book, faults=frozen_map(dict(book.faults) | {proved.id: proved}))
    assert [c.part.id for c in order(book, "MAIN")] == ["U1", "J1", "C1"]


def test_probabilities_add_up_to_one():
    for net in good().families[FAMILY].nets:
        found = order(good(), net)
        assert sum(c.probability for c in found) == pytest.approx(1 if found else 0)


def test_only_faults_that_read_the_net_wrong_count():
    book = good()
    family = book.families[FAMILY]
    assert reads_wrong(book, book.faults["wren-5/rail-short"], family.nets["MAIN"])
    assert not reads_wrong(book, book.faults["wren-5/rail-short"], family.nets["SDA"])
    assert not reads_wrong(book, book.faults["wren-5/rail-short"], family.nets["FUSED"])
