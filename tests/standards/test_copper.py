"""IEC 60028, resistance of copper (from memory)."""

import pytest

from benchlore.circuit.conductor import (
    COEFFICIENT,
    OUNCE_FOIL,
    RESISTIVITY,
    squares_resistance,
    track_resistance,
)


def test_f7_square_of_one_ounce_foil():
    """1/58 ohm mm2/m (from memory); 34.3 um foil has 0.502 mohm a square (computed)."""
    assert pytest.approx(1 / 58) == RESISTIVITY * 1e6
    assert OUNCE_FOIL == 34.3e-6
    assert round(track_resistance(1e-3, 1e-3) * 1e3, 4) == round(1000 / 58 / 34.3, 4)
    assert abs(track_resistance(1e-3, 1e-3) - 0.502e-3) < 1e-6


def test_squares_stand_for_length_over_width():
    found = squares_resistance(20)
    assert found.nominal == pytest.approx(track_resistance(20e-3, 1e-3))
    assert found.low < 20 * 0.502e-3 < found.high


def test_f7_temperature():
    """0.393 % a kelvin (from memory)."""
    assert COEFFICIENT == 0.00393
    assert track_resistance(1e-2, 1e-3, celsius=120) / track_resistance(1e-2, 1e-3) == pytest.approx(1.393)
