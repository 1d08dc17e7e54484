"""What a page may weigh and ask for, whatever the book holds: a phone and an old PC at the bench open it.

The bytes are those of the HTML.
"""

from __future__ import annotations

import pytest

from tests.browser.checks import wait_until

FAULT = 60_000
SYMPTOM = 90_000
BENCH_REQUESTS = 12


def test_a_fault_page_is_light(each_site):
    cards = {
        p: p.stat().st_size for p in each_site.glob("*/*.html") if b'class="card card-fault' in p.read_bytes()
    }
    assert cards
    assert {str(page): size for page, size in cards.items() if size > FAULT} == {}


def test_a_symptom_page_is_light(each_site):
    """With the plan of one board, and without."""
    plans = [page for page in each_site.glob("*/symptoms/*.html") if b'<ul class="plan"' in page.read_bytes()]
    assert plans
    sizes = {str(p): p.stat().st_size for p in (*plans, *(each_site / "symptoms").glob("*.html"))}
    assert {page: size for page, size in sizes.items() if size > SYMPTOM} == {}


@pytest.mark.browser
def test_the_bench_page_asks_for_few_files(page, watch, http_url):
    page.goto(http_url("bench.html"))
    wait_until(page, "document.readyState === 'complete' && !!document.querySelector('main h1')")
    assert 3 < len(watch.requests) <= BENCH_REQUESTS, watch.requests
