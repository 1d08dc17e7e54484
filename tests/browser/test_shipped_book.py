"""The pages of the book in `faults/`, whatever it holds: what its own words and numbers can break.

What axe looks at comes of the templates and the colours: `test_pages.py` has it on the tests' own book.
"""

from __future__ import annotations

import json
import math
import random
import re
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Error, Page

from tests.browser.checks import SMALL_TEXT, at_widths, sideways_at, unfold

PRINTED = 8
_NO_TEXT = re.compile(rb"(?s)<(svg|script)\b.*?</\1>|<[^>]*>|\s+(?=\s)")
WIDE = 726  # what A4 leaves between the margins, in pixels
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


def of_each(
    page: Page, pages: Sequence[Path], widths: Iterable[int], asked: str
) -> dict[Path, dict[int, Any]]:
    """What `asked` says of many pages of one kind, with all unfolded, at each width.

    They stand one after the other in the frame of `at_widths`: nothing is loaded for each.
    """
    found: dict[Path, dict[int, Any]] = {}
    page.goto(pages[0].as_uri())
    page.locator("#scheme").wait_for(state="attached")
    for start in range(0, len(pages), 40):
        some = pages[start : start + 40]
        texts = json.dumps([one.read_text("utf-8") for one in some])
        page.evaluate("texts => { window.pages = JSON.parse(texts); }", texts)
        said = at_widths(page, widths, f"document => ({EACH})(document, {asked})")
        for n, one in enumerate(some):
            found[one] = {width: answers[n] for width, answers in said.items()}
    return found


EACH = """(document, ask) => window.pages.map(text => {
    const {body} = new DOMParser().parseFromString(text, 'text/html');
    body.querySelectorAll('script, iframe').forEach(one => one.remove());
    body.querySelectorAll('details').forEach(one => { one.open = true; });
    document.body.replaceWith(document.adoptNode(body));
    return ask(document);
})"""


def test_the_longest_faults_print_on_two_sheets_at_most(page, new_page, shipped_site):
    """Also while no revision is chosen, when the card says the places of all.

    A second sheet rather than smaller type: no text is smaller than 8 pt. Without scripts a card is printed
    alike, and there in half the time. A sample is looked at: a sixth of the cards, those with the most words;
    of these the tallest are printed, as `scrollHeight` has it, which breaks between sheets can lengthen, and
    one card of all by chance, with a seed of its own. One takes 1.6 sheets, and no other more than 1.4. All
    sketches have one scale.
    """
    page.emulate_media(media="print")
    asked = f"document => [document.documentElement.scrollHeight, ({SMALL_TEXT})(10.6, document)]"
    fullest_cards = fullest(cards(shipped_site), 6, words)
    found = {card: one[WIDE] for card, one in of_each(page, fullest_cards, [WIDE], asked).items()}
    wrong = [f"{card.name}: {small}" for card, (_, smalls) in found.items() for small in smalls]
    tallest = sorted(found, key=lambda card: -found[card][0])[:PRINTED]
    plain = new_page(viewport={"width": WIDE, "height": 1062}, java_script_enabled=False)
    others = [card for card in cards(shipped_site) if card not in tallest]
    for card in [*tallest, random.Random(18).choice(others)]:
        plain.goto(card.as_uri())
        if not two_sheets_do(plain):
            wrong.append(f"{card.name} needs more than two sheets")
    assert not wrong, "\n".join(wrong)


def test_no_column_of_what_each_fault_reads_is_hidden(page, shipped_site):
    """All columns at once, or the list by outcome in their place. A sample: of the symptoms on a board the
    third with the most columns."""
    symptoms = fullest(shipped_site.glob("*/symptoms/*.html"), 3, columns)
    asked = f"document => [({HIDDEN_COLUMNS})(document), ({NUMBERLESS})(document)]"
    found = of_each(page, symptoms, (1280, 1200, 1000, 760), asked)
    assert any(b"matrix-wrap" in one.read_bytes() for one in symptoms)
    assert {path: one for path, one in found.items() if any(said != [[], 0] for said in one.values())} == {}
    page.emulate_media(media="print")
    on_paper = of_each(page, symptoms, [718], HIDDEN_COLUMNS)  # A4 within its margins
    assert {path: one for path, one in on_paper.items() if one[718]} == {}


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
