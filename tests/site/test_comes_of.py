"""What symptoms come of on a board: read in either form, and shown at the symptom, the net and the part."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from benchlore.book import Book, load_book
from benchlore.site.pages import net, part, symptom
from benchlore.site.render import environment, render
from tests.rules.fixtures import GOOD
from tests.site.conftest import TEMPLATES

LISTS = """
symptoms:
  no-picture: [SDA, J1]
  dead-on-adapter: {of: [F1, MAIN], outside: {adapter: 25%, pack: 0%}}
"""


@pytest.fixture
def told(tmp_path: Path) -> Book:
    shutil.copytree(GOOD, tmp_path, dirs_exist_ok=True)
    with (tmp_path / "faults/wren-5/family.yaml").open("a", encoding="utf-8") as file:
        file.write(LISTS)
    return load_book(tmp_path).book


def test_names_may_stand_alone_or_beside_the_shares_of_what_is_outside(told: Book):
    symptoms = told.families["wren-5"].symptoms
    assert {name: (one.of, dict(one.outside)) for name, one in symptoms.items()} == {
        "no-picture": (("SDA", "J1"), {}),
        "dead-on-adapter": (("F1", "MAIN"), {"adapter": 25.0, "pack": 0.0}),
    }


def test_a_net_and_a_part_say_which_symptoms_come_of_them(told: Book):
    env, family = environment(TEMPLATES, told), told.families["wren-5"]
    made = {page.title: page for page in (*net.of_family(told, family), *part.of_family(told, family))}
    assert ">Does not run from the adapter</a>" in render(env, made["MAIN"]).split("When bad, shows as")[1]
    assert ">Runs without a picture</a>" in render(env, made["J1"]).split("When bad, shows as")[1]
    for silent in ("FUSED", "C1"):
        assert "hows as" not in render(env, made[silent])


def test_a_symptom_on_a_board_says_what_it_comes_of(told: Book):
    family = told.families["wren-5"]
    page = symptom.page_on(told, family, told.symptoms["dead-on-adapter"])
    assert page is not None
    said = render(environment(TEMPLATES, told), page).split("Can be caused by</b>")[1].split("</span>")[0]
    assert [name for name in (*family.nets, *family.parts) if f">{name}</a>" in said] == ["MAIN", "F1"]
    assert "input fuse (<a" in said, "a designator alone says nothing to somebody without the drawing"
