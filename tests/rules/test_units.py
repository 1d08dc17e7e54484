"""The units that the rules ask for cover every quantity of the schemas."""

from benchlore.book.schemas import schema
from benchlore.rules.ranges import FACT_UNITS


def test_every_value_of_a_circuit_fact_has_a_unit():
    values = {
        name
        for branch in schema("family")["$defs"]["fact"]["allOf"]
        for name, field in branch["then"]["properties"].items()
        if isinstance(field, dict) and field.get("format") == "quantity"
    }
    assert values <= set(FACT_UNITS)
