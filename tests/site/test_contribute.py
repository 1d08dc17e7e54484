"""The contributor's pages show every field of the schemas and every rule of the checks."""

import re
from html import escape
from pathlib import Path
from typing import Any

import pytest

from benchlore.book.schemas import KINDS, schema
from benchlore.rules import all_docs
from benchlore.site import fields, paths
from benchlore.site.pages import contribute
from benchlore.site.render import environment, render
from tests.books import example

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def pages() -> dict[str, str]:
    book = example()
    made = {page.path: page for page in contribute.pages(book)}
    templates = environment(ROOT / "site_overrides" / "theme" / "pages", book)
    return {path: render(templates, page) for path, page in made.items()}


def test_there_are_the_guide_the_fields_and_the_rules(pages):
    assert set(pages) == {paths.CONTRIBUTE, paths.FIELDS, paths.RULES}


def test_a_command_is_given_as_it_can_be_typed(pages):
    """The command lies in the environment alone; nobody has put it on the path of a newcomer."""
    for page in (paths.CONTRIBUTE, paths.RULES):
        said = re.findall(r"<code>([^<]*benchlore (?:new|check)[^<]*)</code>", pages[page])
        assert said
        assert all(line.startswith((".venv/bin/benchlore ", ".venv\\Scripts\\benchlore ")) for line in said)
    assert ".venv\\Scripts\\benchlore new" in pages[paths.CONTRIBUTE]


def test_every_rule_is_shown_with_its_records(pages):
    shown = pages[paths.RULES]
    for doc in all_docs():
        assert f'id="{doc.id}"' in shown
        assert escape(doc.bad).replace("&#x27;", "&#39;").replace("&quot;", "&#34;") in shown


def described(node: Any) -> set[tuple[str, str]]:
    """Name and description of every field of a schema, wherever it stands."""
    found: set[tuple[str, str]] = set()
    if isinstance(node, dict):
        for name, value in node.get("properties", {}).items():
            if isinstance(value, dict) and value.get("description"):
                found.add((name, value["description"].removesuffix(fields.PROSE)))
        for value in node.values():
            found |= described(value)
    elif isinstance(node, list):
        for value in node:
            found |= described(value)
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_of_a_schema_is_listed(kind):
    listed = next(k for k in fields.kinds() if k.id == kind)
    assert set(described(schema(kind))) <= {(field.name, field.description) for field in listed.fields}


def test_anchors_of_a_kind_are_unique():
    for kind in fields.kinds():
        anchors = [field.anchor for field in kind.fields]
        assert len(set(anchors)) == len(anchors)


def test_links_of_the_guide_lead_to_fields(pages):
    for anchor in ("fault-seen", "fault-worked-example"):
        assert f"#{anchor}" in pages[paths.CONTRIBUTE]
        assert f'id="{anchor}"' in pages[paths.FIELDS]


def test_forms_are_in_words():
    forms = {(kind.id, field.path): field.form for kind in fields.kinds() for field in kind.fields}
    assert forms["fault", ("fix", "action")].startswith("one of replace, reflow")
    assert forms["fault", ("hazard",)] == "list: text"
    assert forms["fault", ("fix", "steps")] == "list: text or mapping"
    assert forms["fault", ("summary",)] == "prose"
    assert "true" in forms.values()  # a field that only says that something is so
    assert forms["fault", ("test_points", "expected_reading")] == "text or mapping"
    assert forms["family", ("board", "width")] == "length in mm"
    assert forms["meters", ("lower-case words joined by hyphens", "test_current")] == "quantity"
    assert forms["family", ("nets", "capitals and digits joined by underscores", "path")] == (
        "mapping or list: mapping"
    )
