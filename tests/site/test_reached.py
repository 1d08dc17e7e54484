"""How the plans get to each fault: to its fix, or to its name where that fix costs more than escalating."""

from __future__ import annotations

from dataclasses import replace

import pytest

from benchlore.book.links import book_of
from benchlore.book.model import Book, Fault, frozen_map
from benchlore.diagnosis.minutes import fix_minutes, parts_minutes
from benchlore.site.plans import plans_of
from benchlore.site.sections.diagnosis import Ways, reached


def with_price(book: Book, fault: Fault, price: float) -> Book:
    family = book.families[fault.family]
    name = fault.fix.parts[0].part
    part = family.parts[name]
    dear = replace(part, replace=replace(part.replace, price=price))
    parts = frozen_map({**family.parts, name: dear})
    return replace(book, families=frozen_map({family.id: replace(family, parts=parts)}))


@pytest.mark.slow
def test_a_fix_that_costs_more_than_escalating_says_so(book):
    """Of a board swap at so many minutes, no plan tries a repair that costs twice as much."""
    fault = next(f for _, f in sorted(book.faults.items()) if parts_minutes(book, f) > 0)
    most = book.shop.escalate.minutes
    own = book_of(book, fault.family)
    for price, dear in ((0.1, False), (2 * most * book.shop.labour_rate / 60, True)):
        priced = with_price(own, fault, price)
        known = plans_of(priced, priced.families[fault.family])
        assert known is not None
        section = reached(priced, Ways(known), fault)
        assert section is not None
        assert (fix_minutes(priced, fault) >= most) is dear
        assert section.context["dear"] == (fix_minutes(priced, fault) if dear else None)
        kinds = {one.way.fix.kind for one in section.context["found"] if one.way}
        assert kinds == {"escalate" if dear else "fix"}


@pytest.mark.parametrize(
    "which",
    [
        "small",
        pytest.param("book", marks=pytest.mark.slow),
        pytest.param("shipped_book", marks=pytest.mark.slow),
    ],
)
def test_every_fault_of_a_book_is_reached(request, which):
    """From one of its symptoms a plan comes to its fix, or, where that costs more than a board, to its
    name.
    """
    book = request.getfixturevalue(which)
    for family in book.families.values():
        known = plans_of(book_of(book, family.id), family)
        theirs = [fault for fault in book.faults.values() if fault.family == family.id]
        if known is None:
            assert not theirs
            continue
        to = Ways(known).to
        for fault in theirs:
            dear = fix_minutes(book, fault) >= book.shop.escalate.minutes
            found = [to(symptom, fault.id) for symptom in fault.symptom]
            assert {way.fix.kind for way in found if way} == {"escalate" if dear else "fix"}, fault.id
