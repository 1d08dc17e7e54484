"""For every fault of the book the page asks its way to that fault and its proved fix."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from benchlore.diagnosis.minutes import fix_minutes
from tests.bench.drive import Driven, drive
from tests.books import example

BOOK = example()
MOST_ENTRIES = 20


@pytest.fixture
def bench(page: Page, file_url) -> Page:
    page.goto(file_url("bench.html"))
    page.evaluate("benchlore.bench.ready")
    return page


@pytest.mark.parametrize("family", sorted(BOOK.families))
def test_every_fault_is_reached(bench: Page, family: str):
    faults = [fault for _, fault in sorted(BOOK.faults.items()) if fault.family == family]
    driven = [drive(bench, BOOK, fault) for fault in faults]
    print(table(driven))
    lost = {one.fault: one for one in driven if not reached(one)}
    assert lost == {}
    assert max(len(one.path) for one in driven) <= MOST_ENTRIES


def reached(one: Driven) -> bool:
    """The fault is mended; or it is named, and its fix costs more than to escalate."""
    dear = fix_minutes(BOOK, BOOK.faults[one.fault]) > BOOK.shop.escalate.minutes
    return one.mended or (dear and one.path[-1] == "escalate" and one.likeliest == one.fault)


def table(driven: list[Driven]) -> str:
    lines = [f"{'fault':60} entries minutes"]
    lines += [f"{one.fault:60} {len(one.path):7} {one.minutes:7.0f}" for one in driven]
    return "\n".join(lines)
