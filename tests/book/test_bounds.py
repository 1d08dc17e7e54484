"""Every text of a record has a length that it cannot exceed, said before any pattern is tried on it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from benchlore.book import load_book
from benchlore.book.schemas import KINDS, schema
from benchlore.quantity import MAX_TEXT
from tests.rules.fixtures import GOOD


def texts(node: Any) -> Iterator[dict[str, Any]]:
    """Every part of a schema that a text is held to."""
    if isinstance(node, dict):
        if (node.get("type") == "string" or "pattern" in node) and "enum" not in node:
            yield node
        for value in node.values():
            yield from texts(value)
    elif isinstance(node, list):
        for value in node:
            yield from texts(value)


@pytest.mark.parametrize("kind", KINDS)
def test_every_text_is_bounded(kind: str) -> None:
    found = list(texts(schema(kind)))
    assert found
    for one in found:
        assert one.get("maxLength", 0) > 0, one
        if "format" in one:
            assert one["maxLength"] == MAX_TEXT


@pytest.mark.parametrize("filler", [" ", "0", "k", "+"])
def test_a_long_quantity_in_a_record_is_one_finding_that_says_its_length(filler: str, tmp_path: Path) -> None:
    """With 200,000 blanks the check took two minutes, and then passed."""
    shutil.copytree(GOOD, tmp_path, dirs_exist_ok=True)
    path = tmp_path / "faults/wren-5/family.yaml"
    text = path.read_text(encoding="utf-8")
    assert text.count("nominal: 3.3 V") == 1
    path.write_text(text.replace("nominal: 3.3 V", f'nominal: "3.3{filler * 200_000}V"'), encoding="utf-8")
    (finding, _) = sorted(load_book(tmp_path).findings, key=lambda one: one.severity)
    assert finding.rule == "wrong-value"
    assert f"at most {MAX_TEXT} fit" in finding.message
    assert len(finding.message) < 200
