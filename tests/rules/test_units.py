"""The units that the rules ask for cover every quantity of the circuit."""

from dataclasses import fields
from typing import get_args, get_type_hints

from benchlore.book.elements import UNITS, Element
from benchlore.quantity import Quantity


def test_every_value_of_an_element_has_a_unit():
    kinds = get_args(Element)
    assert len(kinds) == 8
    for kind in kinds:
        hints = get_type_hints(kind)
        values = {f.name for f in fields(kind) if Quantity in (hints[f.name], *get_args(hints[f.name]))}
        assert values <= set(UNITS), kind
