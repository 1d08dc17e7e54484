"""No text or name of an allowed length widens a page of a phone."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page

from benchlore.book.schemas import MAX_ID
from tests.bench.hands import Hands
from tests.browser import long_texts
from tests.browser.checks import sideways
from tests.built import ROOT, built

BOOK = ROOT / "tests" / "rules" / "good"
FAMILY = "wren-5"
START = f"#v=1&family={FAMILY}&revision=A&symptom=dead-on-adapter&label={'W' * 200}"
WIDTHS = (360, 320)


@pytest.fixture(scope="session")
def long_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site of a small book whose every text and name is as long as it may be."""
    return built(long_texts.root(BOOK, ROOT, tmp_path_factory.mktemp("long")))


@pytest.fixture
def phone(new_page: Callable[..., Page]) -> Page:
    return new_page(viewport={"width": 360, "height": 740})


def wide(page: Page) -> list[str]:
    """What is wider than a phone, everything unfolded."""
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    found = []
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 740})
        found += [f"at {width} px: {line}" for line in sideways(page)]
    return found


def test_no_page_is_wider_than_a_phone(phone, long_site):
    paths = [
        path.relative_to(long_site).as_posix()
        for path in sorted(long_site.rglob("*.html"))
        if path.name != "hub.html"
    ]
    assert any(len(Path(path).stem) == MAX_ID for path in paths), "names are long, too"
    found = {}
    for path in paths:
        phone.goto((long_site / path).as_uri())
        found[path] = wide(phone)
    assert not any(found.values()), {path: lines for path, lines in found.items() if lines}


def test_no_view_of_the_bench_is_wider_than_a_phone(phone, long_site):
    hands = Hands(phone)
    hands.open((long_site / "bench.html").as_uri() + START)
    found = {}

    def look(view: str) -> None:
        found[view] = wide(phone)

    look("first action")
    for key in ("?", "l", "j", "e"):
        hands.press(key)
        look(f"after key {key}")
        hands.press("Escape")
    hands.open((long_site / "bench.html").as_uri() + START)
    for _ in range(6):
        if hands.card[0] == "fix":
            look("fix")
            break
        if phone.query_selector("#reading"):
            hands.type("0.4")
            hands.press("Enter")
        else:
            hands.press("1")
        look(f"after {len(hands.entries)} readings, at {hands.card[0]}")
    assert len(found) > 6
    assert not any(found.values()), {view: lines for view, lines in found.items() if lines}


def test_no_view_of_the_study_page_is_wider_than_a_phone(phone, long_site):
    found = {}
    phone.goto((long_site / f"study/{FAMILY}.html").as_uri())
    for exercise in ("reads", "means", "setup", "job"):
        phone.click(f"#begin-{exercise}")
        found[exercise] = wide(phone)
        if phone.query_selector("#unknown"):
            phone.click("#unknown")
            found[f"answer of {exercise}"] = wide(phone)
        phone.click("#leave")
    assert len(found) > 4
    assert not any(found.values()), {view: lines for view, lines in found.items() if lines}


def test_the_texts_are_as_long_as_they_may_be(tmp_path):
    long_texts.write(BOOK, tmp_path)
    family = (tmp_path / f"faults/{FAMILY}/family.yaml").read_text(encoding="utf-8")
    for field in ("title", "summary", "asks"):
        longest = "W" * (long_texts.limits()[field] - 100)
        assert longest in family, field
