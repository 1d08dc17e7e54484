"""Texts that nobody would write: none that is allowed widens a page of a phone, and none does anything."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page

from benchlore.book.schemas import MAX_ID
from tests.bench.hands import Hands
from tests.books import GOOD
from tests.browser import filled_book
from tests.browser.checks import sideways_at
from tests.built import built

FAMILY = "wren-5"
START = f"#v=1&family={FAMILY}&revision=A&symptom=dead-on-adapter&label={'W' * 200}"
WIDTHS = (320, 360, 640, 900, 1366)


@pytest.fixture(scope="session")
def long_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site of a small book whose every text and name is as long as it may be."""
    folder = tmp_path_factory.mktemp("long")
    filled_book.write(GOOD, folder, filled_book.longest, filled_book.long_name)
    return built(folder)


@pytest.fixture
def phone(new_page: Callable[..., Page]) -> Page:
    return new_page(viewport={"width": 360, "height": 740})


def fullest(site: Path) -> list[Path]:
    """The page of each kind that holds the most: every text of the book is alike, and so are the others."""
    kinds: dict[Path, list[Path]] = {}
    for path in site.rglob("*.html"):
        place = path.parent if path.parent != site and path.name != "index.html" else path
        kinds.setdefault(place, []).append(path)
    return sorted(max(paths, key=lambda path: path.stat().st_size) for paths in kinds.values())


def wide(page: Page) -> list[str]:
    """What is wider than a phone, everything unfolded."""
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    found = sideways_at(page, WIDTHS).items()
    return [f"at {width} px: {line}" for width, lines in found for line in lines]


def test_no_page_is_wider_than_a_phone(phone, long_site):
    assert any(len(path.stem) == MAX_ID for path in long_site.rglob("*.html")), "names are long, too"
    found = {}
    for path in fullest(long_site):
        phone.goto(path.as_uri())
        found[path.name] = wide(phone)
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
    filled_book.write(GOOD, tmp_path, filled_book.longest)
    family = (tmp_path / f"faults/{FAMILY}/family.yaml").read_text(encoding="utf-8")
    for field in ("title", "summary", "asks"):
        longest = "W" * (filled_book.limits()[field] - 100)
        assert longest in family, field


# Markup, a way out of an attribute, links that run or leave, and what a template could take for its own.
HOSTILE = (
    "<img src=x onerror=document.documentElement.dataset.hurt=1>"
    "\"' onmouseover='document.documentElement.dataset.hurt=1' autofocus onfocus=\"hurt()\" "
    "<script>document.documentElement.dataset.hurt=1</script></title></svg></option>"
    "[go](javascript:document.documentElement.dataset.hurt=1) [out](%2e%2e/%2e%2e/out.html) {{ 7 * 7 }}"
)


HURT = """() => [
    document.documentElement.dataset.hurt ?? '',
    document.querySelectorAll('[onerror], [onfocus], [onmouseover]').length,
    [...document.links].filter(({protocol, pathname}) =>
        protocol === 'javascript:' || pathname.endsWith('/out.html')).length,
]"""


@pytest.fixture(scope="session")
def hostile_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site of a small book whose every text tries to run something."""
    folder = tmp_path_factory.mktemp("hostile")
    filled_book.write(GOOD, folder, hostile)
    return built(folder)


def hostile(field: str, text: str) -> str:
    """The hostile text, as much as the field takes, after the start of its own, which tells records apart."""
    return f"{text[:40]} {HOSTILE}"[: filled_book.limits()[field]]


@pytest.mark.parametrize(
    "browser",
    [
        pytest.param("page", marks=pytest.mark.browser, id="chromium"),
        pytest.param("firefox_page", marks=pytest.mark.firefox, id="firefox"),
    ],
)
def test_a_hostile_book_does_nothing(request, hostile_site, browser):
    """The page's watch fails for any request outside and any error, which a blocked script would be."""
    page = request.getfixturevalue(browser)
    hands = Hands(page)

    def unhurt(place: str) -> None:
        found = page.evaluate(HURT)
        assert found == ["", 0, 0], place

    # A parser makes the same of a page in both browsers; what scripts put in is tried in each.
    for path in fullest(hostile_site) if browser == "page" else ():
        page.goto(path.as_uri())
        unhurt(path.name)
    hands.open((hostile_site / "bench.html").as_uri() + START.partition("&label")[0] + "&label=<img src=x>")
    for key in ("?", "l", "j", "e"):
        hands.press(key)
        unhurt(f"bench, key {key}")
        hands.press("Escape")
    page.goto((hostile_site / f"study/{FAMILY}.html").as_uri())
    hands.wait("document.getElementById('begin-path') !== null")
    for exercise in ("reads", "means", "setup", "job"):
        page.click(f"#begin-{exercise}")
        unhurt(f"study, {exercise}")
        page.click("#leave")
    page.goto((hostile_site / "index.html").as_uri())
    hands.press("/")
    hands.type("img src")
    hands.wait("document.querySelector('#search-list [role=option]') !== null")
    unhurt("search")
