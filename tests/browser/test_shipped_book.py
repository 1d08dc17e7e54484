"""The pages of the book in `faults/`, whatever it holds: what its own words and numbers can break.

What axe looks at comes of the templates and the colours: `test_pages.py` has it on the tests' own book.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest
from playwright.sync_api import Error, Page, expect

from tests.browser.checks import SMALL_TEXT, at_widths, sideways_at, unfold

PARTS = 2  # as many tests, for as many workers
_NO_TEXT = re.compile(rb"(?s)<(svg|script)\b.*?</\1>|<[^>]*>|\s+(?=\s)")
WIDTHS = (320, 360, 768, 1280, 1920)

HIDDEN_COLUMNS = """document => [...document.querySelectorAll('.matrix-wrap')]
    .filter(wrap => wrap.scrollWidth > wrap.clientWidth + 1)
    .map(wrap => `${wrap.getAttribute('aria-label')}: ${wrap.scrollWidth} of ${wrap.clientWidth} px`)"""
# The tables that show a reading neither under its fault nor with the number of its fault.
NUMBERLESS = """document => [...document.querySelectorAll('.matrix')].filter(table => {
    const shown = element => getComputedStyle(element).display !== 'none';
    return shown(table.tHead) === shown(table.querySelector('td > a'));
}).length"""


def cards(site: Path) -> list[Path]:
    """The pages of faults."""
    return sorted(p for p in site.glob("*/*.html") if b'class="card card-fault' in p.read_bytes())


def fullest(pages: Iterable[Path], of: int, much: Callable[[bytes], int]) -> list[Path]:
    """One page of so many: those with the most of what takes room."""
    ordered = sorted(pages, key=lambda page: (-much(page.read_bytes()), page))
    return ordered[: math.ceil(len(ordered) / of)]


def words(html: bytes) -> int:
    """The bytes of a page's text. The twenty longest of 358 cards were among the 53 with the most."""
    return len(_NO_TEXT.sub(b"", html))


def columns(html: bytes) -> int:
    """The columns of a symptom's matrix on a board."""
    return html.count(b'scope="col"')


def largest(pages: list[Path]) -> Path:
    """The page of a kind that holds the most."""
    return max(pages, key=lambda page: page.stat().st_size)


def two_sheets_do(page: Page) -> bool:
    """Whether Chromium finds no third sheet to print."""
    try:
        page.pdf(prefer_css_page_size=True, page_ranges="3")
    except Error as error:
        if "Page range exceeds page count" in error.message:
            return True
        raise
    return False


@pytest.mark.parametrize("part", range(PARTS))
def test_the_longest_faults_print_on_two_sheets_at_most(new_page, shipped_site, part):
    """Also while no revision is chosen, when the card says the places of all.

    A second sheet rather than smaller type: no text is smaller than 8 pt. Without scripts a card is printed
    alike, and there in half the time. A sixth of the cards, which holds the twenty longest (`words`): of each
    eighth card of the fullest third, the first takes 1.6 sheets and no other more than 1.4. All sketches have
    one scale.
    """
    # What A4 leaves between the margins.
    page = new_page(viewport={"width": 726, "height": 1062}, java_script_enabled=False)
    page.emulate_media(media="print")
    wrong = []
    for card in fullest(cards(shipped_site), 6, words)[part::PARTS]:
        page.goto(card.as_uri())
        if not two_sheets_do(page):
            wrong.append(f"{card.name} needs more than two sheets")
        wrong += [f"{card.name}: {small}" for small in page.evaluate(SMALL_TEXT, 10.6)]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("part", range(PARTS))
def test_no_column_of_what_each_fault_reads_is_hidden(page, shipped_site, part):
    """All columns at once, or the list by outcome in their place."""
    hidden: dict[tuple[str, int | str], list[str]] = {}
    for symptom in fullest(shipped_site.glob("*/symptoms/*.html"), 3, columns)[part::PARTS]:
        path = symptom.relative_to(shipped_site).as_posix()
        page.goto(symptom.as_uri())
        asked = f"document => [({HIDDEN_COLUMNS})(document), ({NUMBERLESS})(document)]"
        for width, (found, numberless) in at_widths(page, (1280, 1200, 1000, 760), asked).items():
            hidden[path, width] = found
            assert numberless == 0, path
        page.emulate_media(media="print")
        hidden[path, "on paper"] = at_widths(page, [718], HIDDEN_COLUMNS)[718]  # A4 within its margins
        page.emulate_media(media="screen")
    assert not any(hidden.values()), {place: found for place, found in hidden.items() if found}


@pytest.mark.parametrize("kind", ["fault", "family", "net", "part", "symptom"])
def test_the_largest_page_of_a_kind_fits(page, shipped_site, kind):
    pages = {
        "fault": cards(shipped_site),
        "family": [page for page in shipped_site.glob("*/index.html") if (page.parent / "nets").is_dir()],
        "net": list(shipped_site.glob("*/nets/*.html")),
        "part": list(shipped_site.glob("*/parts/*.html")),
        "symptom": list(shipped_site.glob("*/symptoms/*.html")),
    }
    page.goto(largest(pages[kind]).as_uri())
    unfold(page)
    assert sideways_at(page, WIDTHS) == {}


def test_no_two_looks_at_one_thing_have_one_name(page: Page, shipped_site: Path):
    """A button, an entry and the job's sheet have no more than the name."""
    page.goto((shipped_site / "bench.html").as_uri())
    twins = page.evaluate("""async () => {
        const found = [];
        for (const { id } of benchlore.benchBook.families) {
            const family = await benchlore.opening.loadFamily(id), seen = new Map();
            for (const [key, { mode, state }] of Object.entries(family.measurements)) {
                if (mode !== "look" && mode !== "listen") continue;
                const name = benchlore.parts.nameOf(family, key) + " " + state;
                if (seen.has(name)) found.push([id, seen.get(name), key]);
                seen.set(name, key);
            }
        }
        return found;
    }""")
    assert twins == []


def test_the_page_of_a_board_says_in_the_first_screen_of_a_phone_what_can_hurt(new_page, shipped_site):
    """By name at least; what its own bench states bring beside those of all boards, with what to do."""
    page = new_page(viewport={"width": 360, "height": 740})
    boards = [nets.parent for nets in shipped_site.glob("*/nets")]
    assert boards
    for board in boards:
        page.goto((board / "index.html").as_uri())
        page.locator("#scheme").wait_for()
        said = page.locator(".card-head :is(.hazard, .hazards-standing):visible")
        assert said.count(), board.name
        for one in said.all():
            expect(one).to_be_in_viewport(ratio=1)
