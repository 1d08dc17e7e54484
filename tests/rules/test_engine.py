"""The engine tells each rule its subject, and a rule across families what was noted of each."""

from __future__ import annotations

import inspect
import shutil

import pytest

from benchlore.book import load_book
from benchlore.book.model import Book, Fault, Net
from benchlore.findings import Problem
from benchlore.rules import RULES, check, duplicates, rules_of
from benchlore.rules.engine import problems
from benchlore.rules.rule import Seen, across, rule
from benchlore.rules.subjects import FAULT, MEASUREMENT
from tests.rules.fixtures import GOOD


@pytest.fixture
def two(tmp_path):
    shutil.copytree(GOOD, tmp_path, dirs_exist_ok=True)
    shutil.copytree(tmp_path / "faults/wren-5", tmp_path / "faults/finch-2")
    return tmp_path


def test_each_subject_is_asked_once_and_sees_its_own_family_alone(two):
    met = []

    @rule(each=FAULT)
    def some_rule(book: Book, fault: Fault):
        met.append(fault.id)
        assert set(book.families) == {fault.family}
        assert {f.family for f in book.faults.values()} == {fault.family}
        yield Problem(fault.origin, fault.id)

    book = load_book(two).book
    assert [p.message for p in problems(some_rule, book)] == met
    assert sorted(met) == sorted(book.faults)


def test_a_rule_across_families_sees_all_notes_and_the_common_records(two):
    @across(visit=lambda book: sorted(book.families), notes=[str])
    def some_rule(book: Book, seen: Seen):
        assert book.symptoms
        assert not book.families
        yield Problem(book.shop.origin, repr(sorted(seen)))

    (problem,) = problems(some_rule, load_book(two).book)
    assert problem.message == "[[], ['finch-2'], ['wren-5']]"


def test_what_a_rule_cannot_be_told_is_refused_when_it_is_made():
    with pytest.raises(TypeError, match="asks for net: Net"):

        @rule(each=MEASUREMENT)
        def some_rule(net: Net):
            yield Problem(net.origin, "")

    with pytest.raises(TypeError, match="asks for measurement: Net"):

        @rule(each=MEASUREMENT)
        def other_rule(measurement: Net):
            yield Problem(measurement.origin, "")


def test_every_rule_is_found_in_its_module():
    assert {one.id for one in rules_of(duplicates)} == {"near-duplicate", "same-fault", "said-twice"}


def test_a_family_more_leaves_the_findings_of_another_as_they_were(two):
    path = two / "faults/wren-5/fuse-open.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("part: F1", "part: F7"), encoding="utf-8")
    found = {(f.file, f.rule) for f in check(load_book(two))}
    assert found == {("faults/wren-5/fuse-open.yaml", "unknown-part")}


def test_no_rule_goes_through_the_families_by_itself():
    """The engine tells each rule its subject; what needs all families is noted of each."""
    loops = [one.id for one in RULES if "book.families.values()" in inspect.getsource(one.check)]
    assert loops == []


def test_a_waiver_is_not_called_unused_while_its_family_cannot_be_read(two):
    """What it waives is found with the circuit, and there is none while `family.yaml` does not parse."""
    fault = two / "faults/wren-5/fuse-open.yaml"
    waive = "waive:\n  confirm-proves-nothing: It is all that there is to look at.\n"
    fault.write_text(fault.read_text(encoding="utf-8") + waive, encoding="utf-8")
    assert "unused-waiver" in {f.rule for f in check(load_book(two))}
    family = two / "faults/wren-5/family.yaml"
    family.write_text(family.read_text(encoding="utf-8") + "?\n", encoding="utf-8")
    found = {f.rule for f in check(load_book(two))}
    assert found
    assert "unused-waiver" not in found
