"""Prefixes and units mean what pint, an independent library of units, says they mean."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchlore.quantity import BASE_UNITS, parse_quantity
from benchlore.vocabulary import PREFIXES

pint = pytest.importorskip("pint", reason="pint is not installed", exc_type=ImportError)
REGISTRY = pint.UnitRegistry()
UNPREFIXED = ("degC", "mm", "min", "%")
WRITTEN = [f"{p}{b}" for b in BASE_UNITS for p in PREFIXES if not p or b not in UNPREFIXED]


def in_base_unit(number: str, unit: str) -> float:
    """What pint makes of a number in a unit, in the base unit that Benchlore uses for it."""
    name = unit.replace("%", "percent")
    base = parse_quantity(f"1 {unit}").unit.replace("%", "percent")
    return float(REGISTRY.Quantity(float(number), name).to(base).magnitude)


@pytest.mark.parametrize("unit", WRITTEN)
def test_unit_is_what_pint_takes_it_for(unit):
    assert parse_quantity(f"1 {unit}").low == pytest.approx(in_base_unit("1", unit), rel=1e-12)


@given(st.decimals(-99999, 99999, places=4).map(str), st.sampled_from(WRITTEN))
def test_value_is_the_one_of_pint(number, unit):
    expected = in_base_unit(number, unit)
    assert parse_quantity(f"{number} {unit}").low == pytest.approx(expected, rel=1e-12, abs=1e-30)


@given(
    st.decimals(1, 99999, places=3).map(str), st.integers(1, 50), st.sampled_from(["V", "mV", "kohm", "uF"])
)
def test_tolerance_is_the_measurement_of_pint(number, percent, unit):
    value = parse_quantity(f"{number} {unit} {percent}%")
    expected = REGISTRY.Quantity(float(number), unit).plus_minus(percent / 100, relative=True).to(value.unit)
    assert value.nominal == pytest.approx(expected.value.magnitude, rel=1e-12)
    assert value.high - expected.value.magnitude == pytest.approx(
        expected.error.magnitude, rel=1e-9, abs=1e-30
    )


@given(
    st.decimals(1, 999, places=2), st.decimals(1, 999, places=2), st.sampled_from(["mV", "V", "kohm", "nF"])
)
def test_span_compares_as_pint_does(one, other, unit):
    low, high = sorted((one, other))
    if low == high:
        return
    span = parse_quantity(f"{low} to {high} {unit}")
    assert REGISTRY.Quantity(float(low), unit) < REGISTRY.Quantity(float(high), unit)
    assert span.high - span.low == pytest.approx(in_base_unit(str(high - low), unit), rel=1e-9)
