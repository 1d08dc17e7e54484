"""How the plan gets to a fault, where its fix costs more than escalating."""

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
        if dear:
            assert all(one.way is None for one in section.context["found"])
