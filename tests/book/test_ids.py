"""What ids, record files, pages and data files are called stands in one place each."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchlore.book.ids import family_of, fault_id, file_of, folder_of, kind_of, name_of

PRODUCT = Path(__file__).resolve().parents[2] / "tools" / "benchlore"
# A file of records, of data for the browser, a place on a page: no module else spells one.
SPELLED = re.compile(r"^(faults|data)/\S*$|#(measure|point)-")
OWNERS = {"book/ids.py", "site/paths.py"}


@pytest.mark.parametrize(
    ("kind", "key", "file"),
    [
        ("fault", "petrel-13/pack-fuse-open", "faults/petrel-13/pack-fuse-open.yaml"),
        ("family", "petrel-13", "faults/petrel-13/family.yaml"),
        ("technique", "iron-rework", "faults/common/techniques/iron-rework.yaml"),
        ("hazards", "hazards", "faults/common/hazards.yaml"),
    ],
)
def test_a_record_has_one_file_and_a_file_one_record(kind, key, file):
    assert file_of(kind, key) == file
    assert kind_of(file) == (kind, key)


def test_a_fault_is_named_after_its_family():
    assert (family_of("a/b"), name_of("a/b"), fault_id("a", "b")) == ("a", "b", "a/b")
    assert folder_of("faults/a/b.yaml") == "a"
    assert folder_of("README.md") == "common"
    assert kind_of("pages/a/b.yaml") is None


def texts(tree: ast.Module) -> Iterator[str]:
    """The texts of a module but those that stand alone, as docstrings do."""
    alone = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in alone:
            yield node.value


def test_no_other_module_spells_a_path():
    found = [
        f"{path.relative_to(PRODUCT).as_posix()}: {text}"
        for path in sorted(PRODUCT.rglob("*.py"))
        for text in texts(ast.parse(path.read_text(encoding="utf-8")))
        if SPELLED.search(text) and path.relative_to(PRODUCT).as_posix() not in OWNERS
    ]
    assert found == []
