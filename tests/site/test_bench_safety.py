"""What the pages ask for: no live measurement without power, hazards above every action."""

from __future__ import annotations

import re

import pytest

from benchlore.book import links
from benchlore.site import paths
from benchlore.vocabulary import FUNCTIONS

_BLOCK = re.compile(r"<(p class=\"how\"|tr|li)\b.*?</(?:p|tr|li)>", re.DOTALL)
_STATE = re.compile(r"states/([a-z0-9-]+)\.html")
_TAG = re.compile(r"<[^>]+>")
UNPOWERED = {f.label for f in FUNCTIONS.values() if f.power == "off"}
POWERED = {f.label for f in FUNCTIONS.values() if f.power == "on"}


@pytest.fixture(scope="module")
def rendered(each_book, each_site):
    """Every page that asks for work, as HTML, by path."""
    asking = [paths.CALCULATORS, *map(paths.fault, each_book.faults)]
    asking += map(paths.technique, each_book.techniques)
    for family in each_book.families.values():
        asking += [paths.net(family.id, net) for net in family.nets]
        asking += [paths.part(family.id, part) for part in family.parts]
        asking += [paths.symptom_on(family.id, s) for s in links.symptoms_of_family(each_book, family.id)]
    return {path: (each_site / path).read_text(encoding="utf-8") for path in asking}


def asked(html: str):
    """Meter function, bench state and text of each set-up that a page shows."""
    for block in _BLOCK.finditer(html):
        states = set(_STATE.findall(block[0]))
        text = _TAG.sub(" ", block[0])
        functions = {name for name in UNPOWERED | POWERED if name in text}
        if len(states) == 1 and len(functions) == 1:
            yield functions.pop(), states.pop(), " ".join(text.split())


def _state(book, name):
    """A common bench state, or one that a family has for itself."""
    own = {state.id: state for family in book.families.values() for state in family.own_states}
    return (own | book.states)[name]


def test_no_page_asks_for_a_live_measurement_in_an_unpowered_state(rendered, each_book):
    found = 0
    for path, html in rendered.items():
        for function, state, text in asked(html):
            found += 1
            powered = bool(_state(each_book, state).sources)
            injected = "inject at most" in text
            if function in UNPOWERED:
                assert not powered, f"{path}: {text}"
                assert _state(each_book, state).discharged, f"{path}: {text}"
            else:
                assert powered or injected, f"{path}: {text}"
    assert found > 20  # the test reads what it thinks it reads


def test_every_injection_on_a_page_is_without_sources(rendered, each_book):
    injections = [
        (path, state)
        for path, html in rendered.items()
        for block in _BLOCK.finditer(html)
        if "inject at most" in block[0]
        for state in _STATE.findall(block[0])
    ]
    assert injections or not any(
        m.inject for f in each_book.families.values() for m in f.measurements.values()
    )
    for path, state in injections:
        assert not _state(each_book, state).sources, path


def test_a_step_of_a_fix_brings_no_more_than_the_fix(each_book):
    """And heat, solvent and the pack stand at the step that brings them."""
    at_steps = set()
    for fault in each_book.faults.values():
        by_step = links.hazards_by_step(each_book, fault)
        assert len(by_step) == len(fault.fix.steps), fault.id
        found = {name for names in by_step for name in names}
        assert found <= set(links.hazards_of_fault(each_book, fault)), fault.id
        at_steps |= found
    assert {"burn", "fumes", "lithium-pack"} <= at_steps


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
    assert tables
