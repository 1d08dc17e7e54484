"""IEC 60062:2016, marking codes of resistors."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchlore.circuit.marking import TOLERANCE_LETTERS, resistor_code
from benchlore.circuit.series import series
from benchlore.circuit.typed import typed


@pytest.mark.parametrize(
    ("ohms", "code"),
    [
        (0.47, "R47"),
        (4.7, "4R7"),
        (4.7e3, "4K7"),
        (4.7e6, "4M7"),
        (100, "100R"),
        (10e3, "10K"),
        (31.6e3, "31K6"),
    ],
)
def test_c2_codes(ohms, code):
    """Second-hand: R47 is 0.47 ohm, 4R7, 4K7, 4M7; the others follow."""
    assert resistor_code(ohms) == code
    assert typed("part", code, "ohm").middle == pytest.approx(ohms)


def test_c2_tolerance_letters():
    """F is 1 %, K is 10 % (second-hand); G is 2 %, J is 5 % (from memory)."""
    assert dict(TOLERANCE_LETTERS) == {"F": 1.0, "G": 2.0, "J": 5.0, "K": 10.0}
    assert resistor_code(2200, 5.0) == "2K2J"
    assert resistor_code(2200, 3.0) == "2K2"


@given(st.sampled_from([v for size in (24, 96) for v in series(size)]), st.integers(-1, 6))
def test_code_and_value_agree(value, power):
    ohms = float(f"{value}e{power}")
    assert typed("part", resistor_code(ohms), "ohm").middle == pytest.approx(ohms)
