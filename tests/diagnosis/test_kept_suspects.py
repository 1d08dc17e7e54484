"""The suspects of a family are worked out once for the same records, and are the same when they were kept."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from benchlore import cache
from benchlore.book.model import Book, frozen_map
from benchlore.circuit.graph import suspects as circuit
from benchlore.diagnosis import suspects
from benchlore.diagnosis.suspects import suspects_of
from tests.books import example

FAMILIES = ("siskin-12", "teal-8")


@pytest.fixture
def kept(tmp_path, monkeypatch):
    """An empty folder to keep in, and nothing remembered."""
    monkeypatch.setattr(cache, "_usual_folder", lambda: tmp_path)
    suspects._suspects.cache_clear()
    yield tmp_path
    suspects._suspects.cache_clear()


@pytest.fixture
def worked(monkeypatch):
    """The families that were worked out."""
    families: list[str] = []
    work = suspects._worked_out

    def heard(book, family):
        families.append(family.id)
        return work(book, family)

    monkeypatch.setattr(suspects, "_worked_out", heard)
    return families


def without_a_look(book: Book, family: str) -> str:
    """A fault of which nothing is stated that shows a part itself."""
    looks = suspects.looks_of(book, book.families[family])
    known = [fault for fault in book.faults.values() if fault.family == family]
    return min(fault.id for fault in known if looks.keys().isdisjoint(e.measure for e in fault.test_points))


def changed(book: Book, fault: str, **fields) -> Book:
    """The book with something else in a fault."""
    return replace(book, faults=frozen_map({**book.faults, fault: replace(book.faults[fault], **fields)}))


@pytest.mark.parametrize("name", FAMILIES)
def test_what_was_kept_is_what_is_made(name, kept, worked):
    book, family = example(), example().families[name]
    made = suspects._worked_out(book, family)
    assert suspects_of(book, family) == made
    suspects._suspects.cache_clear()
    assert suspects_of(book, family) == made
    assert worked == [name, name]  # once to compare with, once to keep


@pytest.mark.parametrize("name", FAMILIES)
def test_of_a_fault_without_a_look_only_its_cause_counts(name, kept, worked):
    book = example()
    family, fault = book.families[name], without_a_look(book, name)
    suspects_of(book, family)
    for fields in ({"title": "Another title"}, {"test_points": ()}, {"seen": 99}):
        suspects_of(changed(book, fault, **fields), family)
    assert worked == [name]
    suspects_of(changed(book, fault, cause=replace(book.faults[fault].cause, mode="wrong-value")), family)
    assert worked == [name, name]


def test_what_records_show_of_a_part_counts(each_book, kept, worked):
    """A look that a record reads amiss leaves its part fewer ways to be damaged as nobody says."""
    differ = 0
    for family in each_book.families.values():
        looks = suspects.looks_of(each_book, family)
        found = next(
            (
                (fault, one)
                for fault in each_book.faults.values()
                if fault.family == family.id
                for one in fault.test_points
                if looks.get(one.measure) == fault.cause.part
            ),
            None,
        )
        if found is None:
            continue
        fault, one = found
        worked.clear()
        before = suspects_of(each_book, family)
        less = changed(each_book, fault.id, test_points=tuple(e for e in fault.test_points if e is not one))
        assert suspects_of(less, family) == suspects._worked_out(less, family)
        assert worked == [family.id] * 3  # what is kept knows of the change, and once to compare with
        differ += suspects_of(less, family) != before
    assert differ or len(each_book.families) < 2


def test_a_spoiled_entry_is_made_again(kept, worked):
    name = FAMILIES[0]
    book, family = example(), example().families[name]
    made = suspects_of(book, family)
    entry = kept / "suspects" / f"{name}.json"
    entry.write_bytes(entry.read_bytes().replace(b"[", b"{", 1))
    suspects._suspects.cache_clear()
    assert suspects_of(book, family) == made
    assert worked == [name, name]


def test_a_fuse_that_a_short_has_blown_is_named_and_changed_too(each_book):
    for family in each_book.families.values():
        known = {one.id: one for one in suspects_of(each_book, family)}
        for one in known.values():
            fuses = [part for part in family.parts if one.id.endswith(f"-{part.lower()}-open")]
            if "shorted-to-ground" in one.id and fuses:
                assert one.along == tuple(fuses)
                assert re.search(rf", {fuses[0]} (perhaps )?blown$", one.title)
                whole = known.get(one.id.removesuffix(f"-{fuses[0].lower()}-open"))
                assert whole is None or one.minutes > whole.minutes
            else:
                assert one.along == ()
            ways = [(member.part, member.mode, member.at) for member in one.members]
            assert len(ways) == len(set(ways)), "each way of failing is told once"


@pytest.mark.parametrize("backwards", [False, True])
def test_readings_stand_in_one_order_whatever_order_a_set_has(backwards, monkeypatch):
    """A set of names has another order in each run of Python, and pages show ties as they come."""

    class Ordered(frozenset):
        def __iter__(self):
            return iter(sorted(frozenset(self), reverse=backwards))

    book, family = example(), example().families["siskin-12"]
    names = frozenset(m.id for m in family.measurements.values() if m.function.id == "look")
    assert len(names) > 1
    groups = circuit.groups

    def ordered(*asked):
        return tuple(replace(group, unknown=Ordered(group.unknown | names)) for group in groups(*asked))

    monkeypatch.setattr(circuit, "groups", ordered)
    for suspect in suspects._worked_out(book, family):
        if not suspect.outside:
            found = [name for name in suspect.reads if name in names]
            assert found == sorted(found)
