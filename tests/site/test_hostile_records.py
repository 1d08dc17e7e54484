"""A record that carries markup renders as harmless text, on every page and in every field."""

from __future__ import annotations

import dataclasses
from html.parser import HTMLParser
from typing import Any

import pytest

from benchlore.book.model import Book, frozen_map
from benchlore.findings import Origin
from benchlore.quantity import Quantity
from benchlore.site.page import SitePage
from benchlore.site.render import environment, render
from tests.books import all_pages
from tests.site.conftest import TEMPLATES

pytestmark = pytest.mark.slow

# Each piece adds a tag or an attribute where it is not escaped, whatever stands before it.
HOSTILE = (
    "' onmouseover='alert(1) \"><img src=x onerror=alert(1)></p></article><script>alert(1)</script>",
    "[go](javascript:alert(1)) {{ 7 * 7 }}{% raw %} <b>bold <!-- <svg/onload=alert(1)>",
)
# Names that pages are looked up by, and words that have a fixed set, hold to their schema's patterns.
FIXED = {
    *("id", "family", "file", "signal", "mode", "state", "measure", "at", "net", "kind", "bus", "to", "by"),
    *("action", "skill", "part", "technique", "side", "through", "seen_by", "default_meter"),
    *("symptom", "hazard", "techniques", "revisions", "nets", "from_", "unplugged", "in_", "signs"),
    *("sources", "with_", "moved_to", "way", "unit", "currency", "names", "confirm", "worked_example"),
}


class Structure(HTMLParser):
    """The tags of a page with the names of their attributes, and every address."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, tuple[str, ...]]] = []
        self.targets: list[str] = []
        self.text: list[str] = []

    def handle_starttag(self, tag, attrs):
        shown = (tag, tuple(name for name, _ in attrs))
        if tag == "text" and self.tags[-2:] == [shown, ("/text", ())]:
            del self.tags[-2:]  # a text of a drawing may take several lines
        self.tags.append(shown)
        self.targets += [value or "" for name, value in attrs if name in ("href", "src")]

    def handle_endtag(self, tag):
        self.tags.append((f"/{tag}", ()))

    def handle_data(self, data):
        self.text.append(data)


def spoiled(value: Any, text: str, field: str = "") -> Any:
    """A record with every free text in it replaced."""
    if isinstance(value, Origin | Quantity):
        return value
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fixed = {"files"} if isinstance(value, Book) else FIXED
        changed = {
            f.name: spoiled(getattr(value, f.name), text, f.name)
            for f in dataclasses.fields(value)
            if f.name not in fixed
        }
        return dataclasses.replace(value, **changed)
    if hasattr(value, "items"):
        return frozen_map({key: spoiled(item, text, field) for key, item in value.items()})
    if isinstance(value, tuple):
        return tuple(spoiled(item, text, field) for item in value)
    return text if isinstance(value, str) and value else value


def structure(book: Book, text: str) -> dict[str, Structure]:
    changed = spoiled(book, text)
    pages, _ = all_pages(changed)
    env = environment(TEMPLATES, changed)
    found = {}
    for page in pages:
        seen = Structure()
        seen.feed(render(env, page))
        seen.close()
        found[page.path] = seen
    return found


@pytest.fixture(scope="module")
def plain(small):
    return structure(small, "plain")


@pytest.mark.parametrize("text", HOSTILE)
def test_markup_in_a_record_adds_no_tag_and_no_attribute(small, plain, text):
    found = structure(small, text)
    assert found.keys() == plain.keys()
    assert any(text in "".join(seen.text) for seen in found.values()), "the text reached no page"
    for path, seen in found.items():
        assert seen.tags == plain[path].tags, path
        assert not [t for t in seen.targets if t.lower().lstrip().startswith(("javascript:", "data:"))], path


def test_a_template_that_asks_for_an_unknown_name_fails(tmp_path, small):
    (tmp_path / "bad.html").write_text("{{ missing }}")
    env = environment(tmp_path, small)
    with pytest.raises(Exception, match="'missing' is undefined"):
        render(env, SitePage("x.html", "X", "bad.html"))
