"""The vocabulary: what each table promises, and the schemas that take their enums from it."""

from __future__ import annotations

import json
from dataclasses import fields
from pathlib import Path

import pytest

from benchlore.book.model import Cause
from benchlore.book.schemas import schema, schema_folder
from benchlore.quantity import BASE_UNITS
from benchlore.vocabulary import ACTIONS, ENUMS, FAULT_MODES, FUNCTIONS, SKILLS, with_enums

FILES = sorted(schema_folder().glob("*.schema.json"))


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_the_schema_files_show_editors_what_counts(file: Path):
    text = file.read_text(encoding="utf-8")
    said = "run python3 tools/schemas.py"
    assert json.dumps(with_enums(json.loads(text)), indent=2, ensure_ascii=False) + "\n" == text, said


def test_no_schema_file_is_longer_than_a_person_reads():
    long = {
        path.name: count
        for path in FILES
        if (count := len(path.read_text(encoding="utf-8").splitlines())) > 600
    }
    assert long == {}


def test_a_schema_takes_its_enums_from_the_vocabulary_whatever_its_file_says():
    asked = {"items": [{"$comment": "vocabulary: signals", "enum": ["stale"]}], "enum": ["own"]}
    assert with_enums(asked)["items"][0]["enum"] == ["danger", "warning", "caution", "notice"]
    assert with_enums(asked)["enum"] == ["own"]
    modes = schema("family")["properties"]["measurements"]["additionalProperties"]["properties"]["mode"]
    assert modes["enum"] == list(FUNCTIONS)


def test_no_list_of_the_vocabulary_stands_in_a_schema_without_being_asked_for():
    """A schema that lists words by hand would be a second truth."""

    def lists(node: object) -> list[tuple[str, ...]]:
        if isinstance(node, dict):
            own = [tuple(node["enum"])] if "enum" in node and "$comment" not in node else []
            return [*own, *(found for value in node.values() for found in lists(value))]
        return [found for item in node for found in lists(item)] if isinstance(node, list) else []

    tables = {frozenset(table) for table in ENUMS.values()}
    for file in FILES:
        for listed in lists(json.loads(file.read_text(encoding="utf-8"))):
            assert frozenset(map(str, listed)) not in tables, f"{file.name}: {listed}"


def test_each_meter_function_has_a_known_unit_and_bounds_that_rise():
    for function in FUNCTIONS.values():
        assert function.unit is None or function.unit in BASE_UNITS
        assert function.least < function.most
        assert set(function.instead) <= set(FUNCTIONS)
        assert not function.over_range or function.power == "off"


def test_unpowered_functions_are_those_that_drive_a_current_of_their_own():
    """IEC 61010-2-033 guards these two functions against a live circuit in a hand-held meter."""
    assert {name for name, f in FUNCTIONS.items() if f.power == "off"} == {"junction", "ohms"}


def test_a_label_within_a_sentence_keeps_its_capitals_where_it_is_an_abbreviation():
    assert FUNCTIONS["dc-volts"].phrase == "DC volts"
    assert FUNCTIONS["junction"].phrase == "diode mode"


def test_what_belongs_to_a_mode_is_a_field_of_a_cause():
    known = {field.name for field in fields(Cause)}
    assert all(set(mode.says) <= known for mode in FAULT_MODES.values())


def test_a_shop_may_say_the_risk_of_each_skill_and_of_each_action():
    assert schema("shop")["properties"]["risk"]["propertyNames"]["enum"] == [*SKILLS, *ACTIONS]
