"""A part's page: what its failures do, mode by mode."""

from __future__ import annotations

import pytest

from benchlore.circuit.foretold import in_full
from benchlore.circuit.graph.mode_shares import mode_shares
from benchlore.site.sections.part import SHOWN, loss
from tests.books import example


@pytest.fixture(scope="module")
def book():
    return in_full(example())


def rows(book, part: str, family: str = "siskin-12"):
    record = book.families[family]
    section = loss(book, record, record.parts[part])
    assert section is not None
    return section.context["rows"]


def test_each_mode_of_the_kind_is_there_with_its_share(book):
    found = rows(book, "C55")
    shares = mode_shares("mlcc")
    assert sum(row.share for row in found) == pytest.approx(sum(shares.values()))
    assert [row.mode for row in found] == ["shorted to ground or leaks to ground", "wrong value", "open"]


def test_a_recorded_mode_names_its_fault_and_reads_as_its_record_says(book):
    short = next(row for row in rows(book, "C55") if row.recorded)
    assert [one.id for one in short.recorded] == ["siskin-12/main-rail-capacitor-shorted"]
    assert not short.suspected
    fault = book.faults["siskin-12/main-rail-capacitor-shorted"]
    for one in short.reads:
        assert fault.reads[one.measurement.id][one.outcome.id] == one.share
        assert not one.outcome.normal


def test_a_mode_without_a_record_reads_as_the_circuit_foretells(book):
    suspected = [row for part in book.families["siskin-12"].parts for row in rows_or_none(book, part)]
    alone = [row for row in suspected if row.suspected]
    assert len(alone) > 10
    assert all(not row.recorded for row in alone)
    assert sum(bool(row.reads) for row in alone) > len(alone) / 2
    assert all(len(row.reads) <= SHOWN for row in suspected)


def rows_or_none(book, part: str):
    family = book.families["siskin-12"]
    section = loss(book, family, family.parts[part])
    return section.context["rows"] if section else ()


def test_what_is_plugged_in_fails_as_a_whole_beside_what_is_recorded_of_it(book):
    family = book.families["teal-8"]
    outside = [p for p in family.parts.values() if p.kind in ("pack", "accessory", "adapter")]
    assert outside
    for part in outside:
        found = rows(book, part.id, "teal-8")
        (whole,) = (row for row in found if not row.mode)
        assert whole.suspected
        assert all(row.recorded for row in found if row.mode)
