"""Causes of records as faults of the circuit."""

import math
from dataclasses import replace

import pytest

from benchlore.book import load_book
from benchlore.book.model import Failure, Variant
from benchlore.circuit.graph.causes import APART, fault_of
from benchlore.circuit.graph.change import Fault
from benchlore.circuit.graph.power import Setup
from benchlore.circuit.graph.predict import Predictor
from benchlore.circuit.interval import Interval
from benchlore.quantity import parse_quantity
from benchlore.site import words
from tests.circuit.boards import small
from tests.circuit.books import HERE, good
from tests.rules.fixtures import merged

SHORT = good().faults["wren-5/rail-short"]


def caused(**changes):
    return replace(SHORT, cause=replace(SHORT.cause, **changes))


def test_one_mode_is_one_fault():
    assert fault_of(SHORT) == ((1.0, Fault("C1", "shorted-to-ground")),)
    leak = caused(mode="leaks", at="MAIN", ohms=parse_quantity("20 to 100 ohm"), when=("load",))
    expected = Fault("C1", "leaks", "MAIN", value=Interval(20, 100), when=frozenset({"load"}))
    assert fault_of(leak) == ((1.0, expected),)


def test_variants_share_what_the_cause_takes_along():
    variants = tuple(
        Variant(origin=HERE, part="C1", mode=mode, share=share)
        for mode, share in (("shorted-to-ground", 0.8), ("leaks", 0.2))
    )
    fuse = Failure(origin=HERE, part="F1", mode="open")
    found = fault_of(caused(mode=None, variants=variants, then=(fuse,)))
    along = (Fault("F1", "open"),)
    assert found == (
        (0.8, Fault("C1", "shorted-to-ground", then=along)),
        (0.2, Fault("C1", "leaks", then=along)),
    )


def test_a_variant_takes_along_what_it_alone_states():
    fuse = Failure(origin=HERE, part="F1", mode="open")
    variants = (
        Variant(origin=HERE, part="C1", mode="shorted-to-ground", share=0.4),
        Variant(origin=HERE, part="C1", mode="shorted-to-ground", share=0.6, then=(fuse,)),
    )
    record = caused(mode=None, variants=variants)
    assert fault_of(record) == (
        (0.4, Fault("C1", "shorted-to-ground")),
        (0.6, Fault("C1", "shorted-to-ground", then=(Fault("F1", "open"),))),
    )
    assert record.cause.taken_along == (fuse,)
    said = words.cause(record.cause)
    assert said == "shorted to ground (40\u00a0%), shorted to ground, taking along F1 open (60\u00a0%)"


def test_a_loose_contact_is_open_for_its_share_of_the_time_and_changes_nothing_for_the_rest():
    (open_share, apart), (rest, touching) = fault_of(caused(part="F1", mode="loose", share_of_time=0.3))
    assert open_share == 0.3
    assert rest == pytest.approx(0.7)
    assert touching.when == {APART}
    predictor = Predictor(
        small(
            """
            nets:
              IN: {source: {from: adapter, volts: 5 V 2%}}
              OUT: {path: {part: F1, from: IN, ohms: 50 mohm}}
            parts:
              F1: {kind: fuse}
            """
        )
    )
    level = {fault: predictor.power(Setup("on"), fault).level("OUT") for fault in (apart, touching)}
    assert level[apart] == Interval(0.0, 0.0)
    assert level[touching] == predictor.power(Setup("on")).level("OUT")


def test_a_record_without_a_mode_says_nothing():
    assert fault_of(caused(mode=None)) == ()


def test_a_variant_has_the_part_and_the_net_of_its_cause(tmp_path):
    text = """cause:
  part: J1
  at: SDA
  variants:
    - {mode: shorted-to-ground, share: 0.9}
    - {mode: leaks, share: 0.1}
"""
    book = load_book(merged(f"# faults/wren-5/line-held-low.yaml\n{text}", tmp_path)).book
    cause = book.faults["wren-5/line-held-low"].cause
    assert [(v.part, v.at, v.mode) for v in cause.variants] == [
        ("J1", "SDA", "shorted-to-ground"),
        ("J1", "SDA", "leaks"),
    ]


def test_every_fault_of_the_tests_book_has_a_cause(book):
    for fault in book.faults.values():
        assert math.isclose(math.fsum(share for share, _ in fault_of(fault)), 1), fault.id


def test_a_cause_in_words():
    variants = tuple(
        Variant(origin=HERE, part="C1", mode=mode, at="MAIN", share=share)
        for mode, share in (("shorted-to-ground", 0.8), ("leaks", 0.2))
    )
    fuse = Failure(origin=HERE, part="F1", mode="open")
    both = caused(mode=None, variants=variants, then=(fuse,)).cause
    assert words.cause(both) == (
        "shorted to ground on MAIN (80\u00a0%), leaks to ground on MAIN (20\u00a0%); takes along F1 open"
    )
    leak = caused(mode="leaks", ohms=parse_quantity("20 to 100 ohm"), when=("warm",)).cause
    assert words.cause(leak) == "leaks to ground, 20 to 100\u00a0Ω, when warm"
    loose = caused(mode="loose", share_of_time=0.3).cause
    assert words.cause(loose) == "loose contact, open 30\u00a0% of the time"
    assert words.cause(caused(mode=None).cause) == ""
