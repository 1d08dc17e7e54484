"""Files that are no walk are refused: which file, where in it, why, and what to do."""

from __future__ import annotations

import json

import pytest

from benchlore.walk.file import WalkError, read_walk, shown
from tests.walk.good_boards import saved, walk_of


@pytest.fixture
def walk(book):
    return walk_of(book, book.families["siskin-12"], lambda: 0.5, 1)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "is not JSON, or it is cut short"),
        ('{"format": "benchlore-walk", "vers', "is not JSON, or it is cut short"),
        ("[]", "is not a walk saved by the site"),
        ('{"format": "benchlore-job"}', "is not a walk saved by the site"),
        ('{"format": "benchlore-walk", "version": 7}', "was saved in form 7; this Benchlore reads form 1"),
        ('{"format": "benchlore-walk", "version": 1}', "the field 'id' is missing"),
        ("[" * 100_000, "is not JSON"),
    ],
)
def test_what_is_no_walk_is_refused(tmp_path, text, says):
    path = tmp_path / "x.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(WalkError, match=r"x\.json") as refused:
        read_walk(path)
    assert says in str(refused.value)


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda w: w["readings"][0].update(meter="sonic"), "'sonic' is no meter of the book"),
        (lambda w: w["readings"][0].update(text="banana"), "siskin"),
        (lambda w: w["readings"][2].pop("text"), "readings, 3: the field 'text' is missing"),
        (lambda w: w["readings"][0].update(note="x"), "'note' is not a field here"),
        (
            lambda w: w["points"].append({"id": "p1", "net": "A", "at": "B", "mode": "look", "state": "s"}),
            "point p1: 'look' is no function of a meter",
        ),
    ],
)
def test_what_is_wrong_in_a_walk_is_said_with_its_place(book, tmp_path, walk, spoil, says):
    family = book.families["siskin-12"]
    spoil(walk)
    with pytest.raises(WalkError) as refused:
        shown(book, [read_walk(saved(tmp_path, walk))], family.measurements)
    assert "board-1.json" in str(refused.value)
    if says != "siskin":
        assert says in str(refused.value)


def test_a_file_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(WalkError, match="cannot be read"):
        read_walk(tmp_path / "none.json")


def test_the_last_reading_of_a_point_counts_and_an_empty_one_is_none(book, tmp_path, walk):
    walk["readings"] += [
        {"measure": "main-rail-adapter", "meter": walk["meter"], "text": "8.41"},
        {"measure": "main-rail-adapter", "meter": walk["meter"], "text": "8.42"},
        {"measure": "main-rail-ohms", "meter": walk["meter"], "text": ""},
    ]
    found = read_walk(saved(tmp_path, walk))
    assert found.taken["main-rail-adapter"].text == "8.42"
    assert "main-rail-ohms" not in found.taken
    assert json.loads(saved(tmp_path, walk).read_text())["format"] == "benchlore-walk"
