"""`benchlore export` writes the whole book after its schema."""

import json
import shutil

import jsonschema
import pytest

from benchlore.book import load_book
from benchlore.book.export import export_book, schema
from benchlore.book.schemas import schema as record_schema
from benchlore.cli import main
from tests.books import EXAMPLE
from tests.rules.fixtures import GOOD


@pytest.fixture(scope="module")
def good():
    return export_book(load_book(GOOD).book)


@pytest.mark.parametrize("root", [GOOD, EXAMPLE], ids=["tiny", "example"])
def test_export_keeps_to_its_schema(root, capsys):
    assert main(["export", "--root", str(root)]) == 0
    shown = json.loads(capsys.readouterr().out)
    jsonschema.Draft202012Validator(schema()).validate(shown)


def test_schema_closes_every_object():
    """A field that nobody described cannot slip into the export."""

    def closed(node):
        if isinstance(node, dict):
            if "properties" in node:
                assert node["additionalProperties"] is False
                assert set(node["required"]) == set(node["properties"])
            for value in node.values():
                closed(value)
        elif isinstance(node, list):
            for value in node:
                closed(value)

    closed(schema())


def test_open_ends_are_null(good):
    outcomes = good["families"]["wren-5"]["measurements"]["main-junction"]["outcomes"]
    assert outcomes["shorted"]["range"] == {"text": "under 0.10 V", "low": None, "high": 0.10, "unit": "V"}
    assert outcomes["open"]["range"] == {"text": "over 0.55 V", "low": 0.55, "high": None, "unit": "V"}


def test_links_run_in_both_directions(good):
    family = good["families"]["wren-5"]
    assert good["symptoms"]["no-picture"]["links"]["faults"] == ["wren-5/line-held-low"]
    assert family["nets"]["SDA"]["links"]["faults"] == ["wren-5/line-held-low"]
    assert family["nets"]["MAIN"]["links"]["measurements"] == [
        "main-rail",
        "main-rail-on-pack",
        "main-junction",
        "main-heat",
    ]
    assert family["nets"]["VIN"]["links"]["feeds"] == ["FUSED"]
    assert family["parts"]["J1"]["links"]["faults"] == ["wren-5/line-held-low"]
    assert good["techniques"]["current-injection"]["links"]["faults"] == ["wren-5/rail-short"]
    assert good["faults"]["wren-5/fuse-open"]["links"]["revisions"] == ["A", "B"]
    assert {n["fault"] for n in good["faults"]["wren-5/fuse-open"]["links"]["neighbours"]} == {
        "wren-5/rail-short",
        "wren-5/line-held-low",
    }


def test_the_schema_is_printed_and_holds_what_is_exported(good, capsys):
    assert main(["export", "--schema", "--root", str(GOOD)]) == 0
    shown = json.loads(capsys.readouterr().out)
    assert shown == schema()
    jsonschema.Draft202012Validator.check_schema(shown)
    assert "what it reads" in shown["$defs"]["Fault"]["properties"]["test_points"]["description"]


def test_a_record_has_the_fields_of_its_file_under_the_same_names(good):
    """Every field of every schema, wherever it stands in a record."""

    def holds(node, record):
        for name, inner in node.get("properties", {}).items():
            if isinstance(record, dict) and name not in ("moved_to", "retired", "like"):
                assert name in record
                holds(inner, record[name])
        for each in (
            record.values() if isinstance(record, dict) else record if isinstance(record, list) else ()
        ):
            holds(node.get("items") or node.get("additionalProperties") or {}, each)

    for kind, found in (("family", "families"), ("fault", "faults"), ("technique", "techniques")):
        for record in good[found].values():
            holds(record_schema(kind), record)
    for kind in ("symptoms", "hazards", "meters", "states", "shop"):
        holds(record_schema(kind), good[kind])


def test_same_book_gives_the_same_bytes(tmp_path):
    for name in ("one", "other"):
        assert main(["export", "--root", str(GOOD), "-o", str(tmp_path / name)]) == 0
    assert (tmp_path / "one").read_bytes() == (tmp_path / "other").read_bytes()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["one", "other"]


def test_book_with_errors_is_not_exported(tmp_path, capsys):
    shutil.copytree(GOOD, tmp_path, dirs_exist_ok=True)
    (tmp_path / "faults/wren-5/fuse-open.yaml").write_text("title: [", encoding="utf-8")
    target = tmp_path / "export.json"
    target.write_text("the last good one", encoding="utf-8")
    assert main(["export", "--root", str(tmp_path), "-o", str(target)]) == 1
    assert "the book has 1 error; 'benchlore check' lists them" in capsys.readouterr().err
    assert target.read_text(encoding="utf-8") == "the last good one"


def test_place_that_cannot_be_written_is_refused(tmp_path, capsys):
    assert main(["export", "--root", str(GOOD), "-o", str(tmp_path / "nowhere" / "export.json")]) == 2
    assert "cannot write" in capsys.readouterr().err


def test_record_is_not_overwritten(tmp_path, capsys):
    shutil.copytree(GOOD, tmp_path, dirs_exist_ok=True)
    record = tmp_path / "faults/wren-5/fuse-open.yaml"
    before = record.read_bytes()
    assert main(["export", "--root", str(tmp_path), "-o", str(record)]) == 2
    assert "lies in faults/, among what the export is made from" in capsys.readouterr().err
    assert record.read_bytes() == before
