"""What is made from the types of the records: reading, export, page data, schema and types of scripts."""

import json
from dataclasses import dataclass, is_dataclass

import jsonschema
import pytest

from benchlore.book import load_book, records
from benchlore.book.elements import After, Need
from benchlore.book.forms import declarations, schema_of
from benchlore.book.model import Fault, Line
from benchlore.book.projection import Projection, fields_of, innermost
from benchlore.book.schemas import KINDS, schema
from benchlore.quantity import Quantity
from benchlore.site import data
from tests.rules.fixtures import GOOD


@dataclass(frozen=True, slots=True, kw_only=True)
class Remarked(Fault):
    """A fault with an optional field more."""

    remark: Line = ""


@pytest.fixture
def remarked(monkeypatch):
    monkeypatch.setattr(records, "_HOLDS", {**records._HOLDS, "fault": Remarked})
    return load_book(GOOD).book.faults["wren-5/fuse-open"]


def test_a_field_that_is_added_to_a_record_needs_no_code(remarked):
    """Its place in the model is all that reading, export, page data, schema and types take."""
    assert remarked.remark == ""
    plain = Projection()
    assert plain.of(load_book(GOOD).book, remarked)["remark"] == ""
    form = schema_of(plain, Remarked)
    assert form["properties"]["remark"]["type"] == "string"
    shown = Projection(dresses=data.BENCH.dresses)
    assert shown.of(load_book(GOOD).book, remarked)["html"]["remark"] == ""
    types = declarations(schema_of(shown, Remarked), "Bench")
    assert "readonly remark: string" in types.partition("interface BenchRemarked ")[2]


# A file writes these as a mapping, or as one value.
OTHERWISE = (Quantity, Need, After)


def test_the_model_has_the_fields_of_the_schemas_and_no_others():
    """The names of a record are those of its file, in every kind and at every depth of the export."""

    def keys(kind):
        inner = [innermost(f.hint) for f in fields_of(kind)]
        deeper = [keys(one) for one in inner if is_dataclass(one) and one not in OTHERWISE]
        return {f.key for f in fields_of(kind)}.union(*deeper)

    def named(node):
        found = set(node.get("properties", {}))
        for inner in (
            *node.get("properties", {}).values(),
            node.get("items"),
            node.get("additionalProperties"),
        ):
            ways = (inner, *inner.get("oneOf", ()), inner.get("then", {})) if isinstance(inner, dict) else ()
            for one in ways:
                found |= named(one)
        return found

    stated = set().union(*(named(schema(kind)) for kind in KINDS))
    kept = set().union(*(keys(innermost(hint)) for hint in records._HOLDS.values()))
    # What another record says has gone into the one that is like it.
    assert kept - {"id"} == stated - {"like"}


def as_sent(value):
    return json.loads(json.dumps(value))


def test_what_the_pages_get_keeps_to_the_form_of_its_types():
    book = load_book(GOOD).book
    form = schema_of(data.BENCH, type(book), *(type(f) for f in book.families.values()))
    jsonschema.Draft202012Validator(form).validate(as_sent(data.common(book)))
    for family in book.families.values():
        inner = {**form["$defs"]["Family"], "$defs": form["$defs"]}
        jsonschema.Draft202012Validator(inner).validate(as_sent(data.family(book, family)))


def test_outcomes_keep_their_order_in_a_script():
    """A key that is all digits would move to the front of an object."""
    pattern = schema("family")["properties"]["measurements"]["additionalProperties"]["properties"]["outcomes"]
    assert not jsonschema.Draft202012Validator(pattern["propertyNames"]).is_valid("12")
    assert jsonschema.Draft202012Validator(pattern["propertyNames"]).is_valid("12-volts")
