"""IEC 60063, preferred values; `eseries` from the Python package index is an implementation of its own."""

from typing import Any

import pytest

from benchlore.circuit.series import SIZES, TOLERANCES, is_preferred, nearest_preferred, series, series_for
from tests.parts import Library

eseries = Library("eseries")


def peer(size: int) -> Any:
    return getattr(eseries, f"E{size}")


@pytest.mark.parametrize("size", SIZES)
def test_c1_series(size):
    """IEC 60063 (second-hand), eseries 1.2.1: the same values in every decade."""
    theirs = [float(value) for value in eseries.series(peer(size))]
    assert len(series(size)) == size
    assert series(size) == pytest.approx([value / theirs[0] for value in theirs])


@pytest.mark.parametrize("size", SIZES)
def test_c1_tolerance(size):
    """eseries 1.2.1: `tolerance(E96)` is 0.01."""
    assert TOLERANCES[size] / 100 == pytest.approx(eseries.tolerance(peer(size)))


def test_c1_nearest():
    """eseries 1.2.1: `find_nearest(E24, 319)` is 330."""
    assert eseries.find_nearest(eseries.E24, 319) == 330
    assert nearest_preferred(319, 5, "ohm") == 330
    assert nearest_preferred(9.9e3, 5, "ohm") == 10e3
    assert nearest_preferred(1.02, 5, "ohm") == 1.0


def test_values_by_tolerance():
    assert is_preferred(2.2e3, 5, "ohm")
    assert is_preferred(31.6e3, 1, "ohm")
    assert is_preferred(22e3, 1, "ohm")  # E24 values are made in 1 % too: common practice, no source
    assert is_preferred(0.47, 5, "ohm")
    assert is_preferred(10e-6, 20, "F")
    assert is_preferred(100e-9, 10, "F")
    assert not is_preferred(2.3e3, 5, "ohm")
    assert not is_preferred(31.6e3, 5, "ohm")
    assert not is_preferred(12e-6, 20, "F")
    assert not is_preferred(31.4e3, 1, "ohm")


def test_series_of_a_tolerance():
    assert series_for(5, "ohm") == (24,)
    assert series_for(20, "F") == (6,)
    assert series_for(10, "F") == (12,)
    assert series_for(1, "ohm") == (24, 96)
    assert series_for(0.1, "ohm") == (24, 192)


def test_a_series_that_does_not_exist_is_refused():
    with pytest.raises(ValueError, match="there is no series E13"):
        series(13)
