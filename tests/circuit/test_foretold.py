"""What the circuit foretells where a record is silent, and who sees it."""

import json
from dataclasses import replace
from itertools import permutations

import pytest

from benchlore.book.export import export_book
from benchlore.book.links import faults_of_family, measured, told_apart_by
from benchlore.book.model import Book, Expectation, Fault, frozen_map
from benchlore.circuit.foretold import foretold, in_full
from benchlore.diagnosis.hypotheses import hypotheses_of
from benchlore.site import data
from tests.books import example

FAMILY = "siskin-12"
RESISTOR = "siskin-12/pack-clock-resistor-cracked"


def with_fault(fault: Fault) -> Book:
    book = example()
    return replace(book, faults=frozen_map(dict(book.faults) | {fault.id: fault}))


def test_what_only_repeats_the_circuit_can_be_left_out_and_nothing_changes():
    """Readings, ranking and browser data are the same with the statement and without."""
    fault = example().faults["siskin-12/charger-data-pin-shorted"]
    assert len(fault.foretold) > 20
    repeated = tuple(
        Expectation(origin=fault.origin, measure=m, expected_reading=row) for m, row in fault.foretold.items()
    )
    before = in_full(with_fault(replace(fault, test_points=(*fault.test_points, *repeated))))
    after = example()
    assert before.faults[fault.id].foretold == {}
    assert before.faults[fault.id].reads == fault.reads
    one, other = (hypotheses_of(book, book.families[FAMILY]) for book in (before, after))
    assert (one.rows, one.prior, one.shows, one.says) == (other.rows, other.prior, other.shows, other.says)
    (first, second) = (data.family(book, book.families[FAMILY])["hypotheses"] for book in (before, after))
    assert first == second


def test_what_is_only_said_to_read_normal_does_so_and_stands_last():
    fault = example().faults[RESISTOR]
    assert fault.reads_normal
    known = example().families[FAMILY].measurements
    assert all(set(fault.reads[name]) == set(known[name].normal) for name in fault.reads_normal)
    assert tuple(e.measure for e in fault.readings)[-len(fault.reads_normal) :] == fault.reads_normal


def test_where_neither_speaks_the_mixture_stands():
    fault = example().faults[RESISTOR]
    book = with_fault(replace(fault, test_points=(), cause=replace(fault.cause, mode=None)))
    known = hypotheses_of(book, book.families[FAMILY])
    place = known.names.index(RESISTOR)
    assert all(place not in known.says[m] for m in known.rows)
    assert in_full(book).faults[RESISTOR].foretold == {}


def test_of_a_failure_that_no_element_knows_nothing_is_foretold_not_even_health():
    fault = example().faults[RESISTOR]
    book = in_full(with_fault(replace(fault, cause=replace(fault.cause, mode="content-lost"))))
    assert book.faults[RESISTOR].foretold == {}


def test_what_only_the_eye_finds_reads_healthy():
    fault = example().faults[RESISTOR]
    book = in_full(with_fault(replace(fault, test_points=(), cause=replace(fault.cause, mode="damaged"))))
    known = book.families[FAMILY].measurements
    found = book.faults[RESISTOR].foretold
    assert len(found) > 20
    assert all(set(row) == set(known[m].normal) for m, row in found.items())


def test_variants_count_by_their_shares():
    fault = example().faults["siskin-12/pen-bay-holds-pack-data-low"]
    (shorted, leaking) = fault.cause.variants
    measure = "pack-data-junction"
    rows = []
    for shares in ((1.0, 0.0), (0.0, 1.0), (shorted.share, leaking.share)):
        ways = tuple(replace(v, share=s) for v, s in zip(fault.cause.variants, shares, strict=True) if s)
        book = with_fault(replace(fault, cause=replace(fault.cause, variants=ways)))
        rows.append(foretold(book, book.families[FAMILY])[fault.id][measure])
    for outcome, share in rows[2].items():
        mixed = shorted.share * rows[0].get(outcome, 0) + leaking.share * rows[1].get(outcome, 0)
        assert share == pytest.approx(mixed)


def test_no_look_and_no_scope_view_is_foretold(each_book):
    for fault in each_book.faults.values():
        family = each_book.families[fault.family]
        assert all(family.measurements[m].unit for m in fault.foretold)


def test_a_net_of_which_nobody_wrote_what_feeds_it_is_not_called_healthy():
    """Of a family without sources, converters and paths only what a fault itself pulls down is foretold."""
    book = example()
    family = book.families[FAMILY]
    nets = {
        name: replace(net, source=(), path=(), converter=(), pull=(), signal=(), delay=())
        for name, net in family.nets.items()
    }
    bare = replace(book, families=frozen_map({FAMILY: replace(family, nets=frozen_map(nets))}))
    for fault in faults_of_family(in_full(bare), FAMILY):
        known = family.measurements
        assert not any(set(row) <= set(known[m].normal) for m, row in fault.foretold.items()), fault.id


def test_what_is_worth_measuring_tells_every_fault_of_a_symptom_apart_that_can_be(each_book):
    for name in each_book.families:
        for one, other in permutations(faults_of_family(each_book, name), 2):
            here, there = one.reads, other.reads
            apart = [m for m in here if m in there and not here[m].keys() & there[m].keys()]
            if set(one.symptom) & set(other.symptom) and apart:
                assert {e.measure for e in one.readings} & set(apart), (one.id, other.id)
                assert told_apart_by(one, other)


def test_a_record_in_full_stays_as_it_is_when_it_is_filled_again(each_book):
    again = in_full(each_book)
    assert again.faults == each_book.faults


def test_what_is_foretold_is_marked():
    fault = example().faults[RESISTOR]
    assert fault.readings[0].note
    assert "main-rail-adapter" in fault.worked_example
    (found,) = [e for e in fault.readings if e.measure == "main-rail-adapter"]
    assert found.predicted


def test_export_and_browser_are_given_what_is_foretold():
    book = example()
    out = json.loads(json.dumps(export_book(book)))["faults"][RESISTOR]
    assert out["foretold"]["main-rail-adapter"] == {"commanded": 1.0}
    assert "main-rail-adapter" not in [e["measure"] for e in out["test_points"]]
    sent = data.family(book, book.families[FAMILY])["faults"][RESISTOR]["test_points"]
    assert [e["measure"] for e in sent] == [e.measure for e, _ in measured(book, book.faults[RESISTOR])]
    assert {e["measure"]: e["predicted"] for e in sent}["main-rail-adapter"]
