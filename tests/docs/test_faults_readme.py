"""`faults/README.md` explains every field, on records that are in the book as they stand there.

Whoever replaces the families may keep the page: records of a family that is gone are not looked for.
"""

import re
from pathlib import Path
from typing import Any

import pytest

from benchlore.book.elements import ELEMENTS
from benchlore.book.schemas import KINDS, schema
from benchlore.book.yaml_reader import parse
from benchlore.quantity import QuantityError, parse_quantity

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "faults" / "README.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(r"<!-- (record|part of): (\S+) -->\n```yaml\n(.*?)```", PAGE, re.DOTALL)
IN_BOOK = [(how, file, text) for how, file, text in EXAMPLES if (ROOT / file).parent.is_dir()]


def section(title: str) -> str:
    return re.split(r"^## ", PAGE.split(f"\n## {title}\n")[1], maxsplit=1, flags=re.MULTILINE)[0]


def rows(text: str) -> list[list[str]]:
    """The cells of the tables in a text, without their heads."""
    lines = [line for line in text.split("\n") if line.startswith("| ")]
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]
    return [row for row, line in zip(cells[2:], lines[2:], strict=True) if not line.startswith("| ---")]


def read(text: str) -> Any:
    data, faults, _ = parse(text)
    assert faults == []
    return data


def test_every_block_is_yaml():
    assert len(re.findall(r"^```yaml$", PAGE, re.MULTILINE)) >= len(EXAMPLES) + 1
    for block in re.findall(r"```yaml\n(.*?)```", PAGE, re.DOTALL):
        read(block)


@pytest.mark.parametrize(("how", "file", "text"), IN_BOOK, ids=[file for _, file, _ in IN_BOOK])
def test_example_stands_in_the_book(how, file, text):
    shown, record = read(text), read((ROOT / file).read_text(encoding="utf-8"))
    if how == "record":
        assert shown == record
    else:
        assert_part(shown, record, file)


def assert_part(part: Any, whole: Any, where: str) -> None:
    """Every name of `part` is in `whole` with the same value; of lists it shows some entries."""
    if isinstance(part, dict):
        for key, value in part.items():
            assert key in whole, f"{where}: {key}"
            assert_part(value, whole[key], f"{where}: {key}")
    elif isinstance(part, list):
        assert all(entry in whole for entry in part), where
    else:
        assert part == whole, where


def fields(node: Any) -> set[str]:
    """The names of all fields that a schema describes."""
    found: set[str] = set()
    if isinstance(node, dict):
        found |= set(node.get("properties", {}))
        for value in node.values():
            found |= fields(value)
    elif isinstance(node, list):
        for value in node:
            found |= fields(value)
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_is_explained(kind):
    shown = {key for block in re.findall(r"```yaml\n(.*?)```", PAGE, re.DOTALL) for key in names(read(block))}
    in_words = set(re.findall(r"`([a-z_]+)(?::[^`]*)?`", PAGE))
    assert fields(schema(kind)) - shown - in_words == set()


def names(data: Any) -> set[str]:
    if isinstance(data, dict):
        return set(data) | {name for value in data.values() for name in names(value)}
    return {name for value in data for name in names(value)} if isinstance(data, list) else set()


def test_every_line_of_a_field_has_a_remark_or_is_plain():
    """In the annotated fault each field stands beside or below a remark where it comes first."""
    text = next(text for how, _, text in EXAMPLES if how == "record")
    remarked: set[str] = set()
    above = ""
    for line in text.split("\n"):
        found = re.match(r" *(?:- )?([a-z_]+):(?: |$)", line)
        if found and ("#" in line or above.lstrip().startswith("#")):
            remarked.add(found[1])
        above = line
    assert {"title", "symptom", "summary", "test_points", "note"} <= remarked
    assert {"seen", "minutes", "steps", "confirm"} <= remarked
    assert {"cause", "at", "worked_example"} <= remarked


def test_every_element_is_listed_with_its_fields():
    listed = [row for row in rows(section("The family")) if len(row) == 3 and row[0].startswith("`")]
    table = {name.strip("`"): set(re.findall(r"`([a-z_]+)`", values)) for name, _, values in listed}
    net = schema("family")["properties"]["nets"]["additionalProperties"]["properties"]
    described = {
        key: next(set(branch["properties"]) for branch in net[key]["oneOf"] if "properties" in branch)
        for key in ELEMENTS
    }
    assert table == described


def test_values_are_taken_and_refused_as_the_table_says():
    for _, write, wrong in rows(section("Values")):
        parse_quantity(write.strip("`"))
        with pytest.raises(QuantityError):
            parse_quantity(wrong.strip("`"))


def test_choices_are_all_named():
    for kind in KINDS:
        for choices in enums(schema(kind)):
            assert all(str(choice) in PAGE for choice in choices), choices


def enums(node: Any) -> list[list[Any]]:
    if isinstance(node, dict):
        own = [node["enum"]] if isinstance(node.get("enum"), list) else []
        return own + [found for value in node.values() for found in enums(value)]
    return [found for value in node for found in enums(value)] if isinstance(node, list) else []
