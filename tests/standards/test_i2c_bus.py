"""UM10204, I2C-bus specification (rev 5 and 6): levels, rise time, pull-up window."""

import math

import pytest

from benchlore.circuit.bus import I2C, i2c_low_output, levels, pull_up_window, pull_up_window_of
from benchlore.circuit.rc import rise_time


@pytest.mark.parametrize("vdd", [1.8, 2.5, 3.3, 5.0])
def test_a1_input_levels(vdd):
    """Section 7.1 (seen): VIL 0.3 VDD, VIH 0.7 VDD."""
    found = levels("i2c", vdd)
    assert found.vil == pytest.approx(0.3 * vdd)
    assert found.vih == pytest.approx(0.7 * vdd)


def test_a1_rise_time_between_them():
    """Section 7.1 (seen, computed): ln(7/3) RC = 0.8473 RC."""
    assert rise_time(1.0, 1.0, 0.3, 0.7) == pytest.approx(math.log(7 / 3), abs=1e-12)
    assert round(rise_time(1.0, 1.0, 0.3, 0.7), 4) == 0.8473


@pytest.mark.parametrize(
    ("mode", "rise", "capacitance", "sink"),
    [
        ("standard", 1000e-9, 400e-12, 3e-3),
        ("fast", 300e-9, 400e-12, 3e-3),
        ("fast-plus", 120e-9, 550e-12, 20e-3),
    ],
)
def test_a2_a3_what_bounds_the_pull_up(mode, rise, capacitance, sink):
    """Equations 1 and 2 with IOL (seen); table 10: rise time and capacitance (second-hand)."""
    found = I2C[mode]
    assert (found.rise, found.capacitance, found.sink) == (rise, capacitance, sink)


def test_a4_low_output():
    """Table 9 (second-hand): 0.4 V at 3 mA for VDD above 2 V; 0.2 VDD at 2 mA below."""
    assert i2c_low_output(3.3) == (0.4, 3e-3)
    assert i2c_low_output(2.01) == (0.4, 3e-3)
    assert i2c_low_output(1.8) == pytest.approx((0.36, 2e-3))


@pytest.mark.parametrize(
    ("rise", "capacitance", "ohms"),
    [
        (1000e-9, 400e-12, 2950.5),
        (300e-9, 400e-12, 885.2),
        (300e-9, 200e-12, 1770.3),
        (120e-9, 550e-12, 257.5),
    ],
)
def test_a5_largest_pull_up(rise, capacitance, ohms):
    """Worked from equation 1 (computed) with 0.8473, which is ln(7/3) to four digits."""
    found = pull_up_window(3.3, 0.4, 3e-3, rise, capacitance).high
    assert found == pytest.approx(ohms, rel=5e-5)
    assert round(found * math.log(7 / 3) / 0.8473, 1) == ohms


@pytest.mark.parametrize(
    ("vdd", "vol", "sink", "ohms"),
    [(3.3, 0.4, 3e-3, 966.7), (5.0, 0.4, 3e-3, 1533.3), (1.8, 0.36, 2e-3, 720.0), (3.3, 0.4, 20e-3, 145.0)],
)
def test_a5_smallest_pull_up(vdd, vol, sink, ohms):
    """Worked from equation 2 (computed)."""
    assert round(pull_up_window(vdd, vol, sink, 1e-6, None).low, 1) == ohms


def test_a5_by_the_name_of_the_standard():
    """The window of the standard mode at 1.8 V and 3.3 V (computed)."""
    low, high = pull_up_window_of("i2c", 1.8, None), pull_up_window_of("i2c", 3.3, 400e-12)
    assert low is not None
    assert high is not None
    assert low.low == pytest.approx(720.0)
    assert low.high == math.inf
    assert high.high == pytest.approx(2950.5, rel=5e-5)
    assert pull_up_window_of("logic-3v3", 3.3, None) is None
