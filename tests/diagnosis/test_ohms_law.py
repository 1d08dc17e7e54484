"""The current that there can be on a board, and which volts and ohms are held to it."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from benchlore.book.model import Family, frozen_map
from benchlore.diagnosis.ohms_law import held_together, most_amps, ohms_beside
from benchlore.quantity import parse_quantity
from tests.circuit.books import FAMILY, good

WREN = good().families[FAMILY]


def limited(**amps: str) -> Family:
    """The family with a rating, a load or a limit at its fuse and none elsewhere."""
    (path,) = WREN.nets["FUSED"].path
    values: dict[str, Any] = {name: parse_quantity(text) for name, text in amps.items()}
    path = replace(path, **{"load": None, **values})
    fused = replace(WREN.nets["FUSED"], path=(path,))
    return replace(WREN, nets=frozen_map({**WREN.nets, "FUSED": fused}))


@pytest.mark.parametrize(
    ("amps", "most"),
    [
        ({}, math.inf),
        ({"rating": "2 A"}, 4.0),
        ({"load": "0 to 1 A"}, 2.0),
        ({"limit": "3 A"}, 6.0),
        ({"rating": "2 A", "load": "0 to 5 A", "limit": "3 A"}, 10.0),
    ],
)
def test_twice_the_largest_that_is_stated(amps, most):
    assert most_amps(limited(**amps)) == most


def measured(**changed: Any) -> Family:
    values: dict[str, Any] = {"id": "main-ohms", "mode": "ohms", **changed}
    ohms = replace(WREN.measurements["main-junction"], **values)
    return replace(WREN, measurements=frozen_map({**WREN.measurements, "main-ohms": ohms}))


def test_the_ohms_of_the_same_rail_with_no_more_plugged_in():
    assert ohms_beside(WREN, "main-rail") == ()
    assert ohms_beside(measured(), "main-rail") == ("main-ohms",)
    assert ohms_beside(measured(unplugged=("J1",)), "main-rail") == ("main-ohms",)
    assert ohms_beside(measured(at="TP1"), "main-rail") == ()
    assert ohms_beside(measured(mode="junction"), "main-rail") == ()
    assert ohms_beside(measured(polarity="reversed"), "main-rail") == ()
    assert ohms_beside(measured(), "sda-level") == (), "a line is no rail"
    out = replace(WREN.measurements["main-rail"], unplugged=("J1",))
    family = measured()
    family = replace(family, measurements=frozen_map({**family.measurements, "main-rail": out}))
    assert ohms_beside(family, "main-rail") == (), "the display may be the short"


def test_every_pair_has_the_same_limit():
    assert dict(held_together(measured())) == {
        ("main-rail", "main-ohms"): 2.0,
        ("main-rail-on-pack", "main-ohms"): 2.0,
    }
