"""What the pages ask for: no live measurement without power, hazards above every action."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from benchlore.book import load_book
from benchlore.site.pages import all_pages
from benchlore.site.render import environment, render
from benchlore.vocabulary import FUNCTIONS

ROOT = Path(__file__).resolve().parents[2]
_BLOCK = re.compile(r"<(p class=\"how\"|tr|li)\b.*?</(?:p|tr|li)>", re.DOTALL)
_STATE = re.compile(r"states/([a-z0-9-]+)\.html")
_TAG = re.compile(r"<[^>]+>")
UNPOWERED = {f.label for f in FUNCTIONS.values() if f.power == "off"}
POWERED = {f.label for f in FUNCTIONS.values() if f.power == "on"}


@pytest.fixture(scope="module")
def book():
    return load_book(ROOT).book


@pytest.fixture(scope="module")
def rendered(book):
    """Every page of a record, as HTML, by path."""
    pages, files = all_pages(book)
    known = {page.path for page in pages} | {file.path for file in files}
    env = environment(ROOT / "site_overrides/theme/pages", book, known)
    kinds = ("net.html", "fault.html", "symptom.html", "part.html", "technique.html", "calculators.html")
    return {page.path: render(env, page) for page in pages if page.template in kinds}


def asked(html: str):
    """Meter function, bench state and text of each set-up that a page shows."""
    for block in _BLOCK.finditer(html):
        states = set(_STATE.findall(block[0]))
        text = _TAG.sub(" ", block[0])
        functions = {name for name in UNPOWERED | POWERED if name in text}
        if len(states) == 1 and len(functions) == 1:
            yield functions.pop(), states.pop(), " ".join(text.split())


def test_no_page_asks_for_a_live_measurement_in_an_unpowered_state(rendered, book):
    found = 0
    for path, html in rendered.items():
        for function, state, text in asked(html):
            found += 1
            powered = bool(book.states[state].sources)
            injected = "inject at most" in text
            if function in UNPOWERED:
                assert not powered, f"{path}: {text}"
                assert book.states[state].discharged, f"{path}: {text}"
            else:
                assert powered or injected, f"{path}: {text}"
    assert found > 200  # the test reads what it thinks it reads


def test_every_injection_on_a_page_is_without_sources(rendered, book):
    injections = [
        (path, state)
        for path, html in rendered.items()
        for block in _BLOCK.finditer(html)
        if "inject at most" in block[0]
        for state in _STATE.findall(block[0])
    ]
    assert injections
    for path, state in injections:
        assert not book.states[state].sources, path


def test_hazards_stand_above_what_a_page_asks_for(rendered):
    for path, html in rendered.items():
        action = re.search(r'class="(?:do|grid steps|grid removal|fields)"|<p class="how">', html)
        if action:
            hazards = html.find('class="hazards')
            assert 0 <= hazards < action.start(), f"{path} asks for something before it names its hazards"


def test_each_removal_table_has_hazards_above_it(rendered):
    tables = 0
    for path, html in rendered.items():
        place = html.find("grid removal")
        if place >= 0:
            tables += 1
            section = html.rfind("<h2", 0, place)
            assert 'class="hazards' in html[section:place], path
    assert tables > 20
