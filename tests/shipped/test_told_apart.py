"""The looks by which the device itself, or the eye, tells parts apart: the words of their outcomes."""

from __future__ import annotations

from benchlore.book.links import faults_of_family
from benchlore.diagnosis.hypotheses import _of_settings
from benchlore.diagnosis.naming import TOLD_APART, told_apart, words_of


def told(book, family):
    faults = faults_of_family(book, family.id)
    return told_apart(family, family.measurements.values(), _of_settings(book, faults))


def test_each_names_three_parts_or_nets_that_the_family_has(shipped_book):
    """By another way than the code: what bears the word is looked for among the parts and nets."""
    for family in shipped_book.families.values():
        for m, of_outcome in told(shipped_book, family).items():
            named = set()
            for outcome, words in of_outcome.items():
                bear = {p.id for p in family.parts.values() if words & words_of(p.name)}
                bear |= {net for net in family.nets if words & words_of(net)}
                assert bear, f"{family.id}: '{outcome}' of {m} names no part and no net"
                named |= bear
            assert len(named) >= TOLD_APART, f"{family.id}: {m} names {sorted(named)} alone"


def test_they_are_the_fault_number_and_where_it_is_wet(shipped_book):
    """The next that is hit by its words shows here: a person says whether it does tell parts apart."""
    hit = {(f.id, m) for f in shipped_book.families.values() for m in told(shipped_book, f)}
    assert hit == {("curlew-48", "number-look"), ("ouzel-15", "wet-look")}
