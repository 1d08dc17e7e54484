"""The parts of the scripts build on earlier ones only: no part asks for one that is loaded after it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from benchlore.site.bundles import SHELL_SCRIPT
from benchlore.site.page import SitePage
from tests.books import all_pages

SOURCES = Path(__file__).resolve().parents[2] / "site_overrides"
_COMMENT = re.compile(r"/\*.*?\*/|^\s*//[^\n]*", re.DOTALL | re.MULTILINE)
_NAME = re.compile(r"\b(benchlore|study)\.(\w+)\b(\s=(?!=))?")


def names(text: str) -> tuple[set[str], set[str]]:
    """The parts that a script adds to the global object, and those that it asks for."""
    found = [(f"{where}.{name}", bool(set_)) for where, name, set_ in _NAME.findall(_COMMENT.sub("", text))]
    own = {name for name, is_set in found if is_set}
    return own, {name for name, _ in found} - own


def late(scripts: tuple[str, ...], read: dict[str, str]) -> list[str]:
    """`b.js asks for benchlore.x of c.js`, for every part that comes too late."""
    told = {name: names(read[name]) for name in scripts}
    place: dict[str, int] = {}
    for n, name in enumerate(scripts):
        for part in told[name][0]:
            place.setdefault(part, n)
    return [
        f"{name} asks for {part} of {scripts[place[part]]}"
        for n, name in enumerate(scripts)
        for part in sorted(told[name][1])
        if place.get(part, n) > n
    ]


def of_page(page: SitePage) -> tuple[str, ...]:
    return tuple(name for name in page.scripts if (SOURCES / name).is_file())


@pytest.mark.slow
def test_no_part_asks_for_a_later_one(book):
    loads = {SHELL_SCRIPT.parts, *map(of_page, all_pages(book)[0])}
    assert max(map(len, loads)) > 30
    read = {name: (SOURCES / name).read_text(encoding="utf-8") for name in {n for one in loads for n in one}}
    assert sorted({found for one in loads for found in late(one, read)}) == []


def test_a_ring_is_seen():
    read = {
        "a.js": "function f() { return benchlore.b.g(); } // benchlore.c\nbenchlore.a = { f };",
        "b.js": "const { f } = benchlore.a;\nbenchlore.b = { g: f };",
    }
    assert late(("a.js", "b.js"), read) == ["a.js asks for benchlore.b of b.js"]
