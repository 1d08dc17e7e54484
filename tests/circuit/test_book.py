"""The book itself, against the circuit and the safety rules."""

from pathlib import Path

from benchlore.book import load_book
from benchlore.circuit import derive
from benchlore.circuit.interval import Interval, interval
from benchlore.diagnosis.removal import removal_order
from benchlore.rules import check, dead_rails, elements, healthy, rules_of, safety
from tests.books import EXAMPLE

ROOT = Path(__file__).resolve().parents[2]


def test_no_circuit_or_safety_rule_has_anything_to_say():
    ours = {rule.id for module in (elements, healthy, dead_rails, safety) for rule in rules_of(module)}
    assert [finding for finding in check(load_book(EXAMPLE)) if finding.rule in ours] == []


def test_every_rail_and_data_line_is_in_the_circuit(book):
    lines = [net for f in book.families.values() for net in f.nets.values() if net.kind in ("rail", "data")]
    assert len(lines) > 15
    assert [net.id for net in lines if not (net.feeding or net.source)] == []


def test_every_normal_range_contains_its_derived_range(book):
    contained = 0
    for family in book.families.values():
        for measurement in family.measurements.values():
            derived = derive(book, family, measurement)
            if derived:
                normal = [o.range for o in measurement.outcomes.values() if o.normal and o.range]
                whole = Interval(min(r.low for r in normal), max(r.high for r in normal))
                assert whole.contains(derived.worst), measurement.id
                assert derived.worst.contains(derived.rss) or derived.down, measurement.id
                assert any(interval(r).contains(Interval(derived.value, derived.value)) for r in normal)
                contained += 1
    assert contained > 25


def test_a_shared_line_is_taken_apart_from_the_easy_end(book):
    """Common practice, no source: likely and easy parts first, the board-matched controller late."""
    family = book.families["siskin-12"]
    order = removal_order(book, family, family.nets["PACK_DATA"])
    assert order[0].part.unplugs
    hardest = max(order, key=lambda c: c.minutes)
    assert hardest.part.replace.skill == "bga"
    assert order.index(hardest) >= len(order) - 2
