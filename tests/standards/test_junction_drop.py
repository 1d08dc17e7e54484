"""Silicon junctions: CODATA constants; Sedra and Smith, Microelectronic Circuits; a meter maker's manual."""

import math

import pytest

from benchlore.circuit.junction import (
    TEST_CURRENT,
    drift,
    drop_at,
    reading,
    thermal_voltage,
    with_parallel,
)

AT_300_K = 26.85  # degC


def test_f1_thermal_voltage():
    """CODATA constants (computed): 25.852 mV at 300 K, 59.53 mV a decade."""
    assert round(thermal_voltage(AT_300_K) * 1e3, 3) == 25.852
    assert round(thermal_voltage(AT_300_K) * math.log(10) * 1e3, 2) == 59.53
    # The constants against an implementation of its own.
    constants = pytest.importorskip("scipy.constants")
    assert thermal_voltage(AT_300_K) == pytest.approx(constants.k * 300 / constants.e, rel=1e-12)


def test_f2_drift():
    """Sedra and Smith (second-hand, computed): V 0.6, VG 1.11, 300 K give -1.96 mV/K; "about 2 mV/K"."""
    assert round(drift(0.6, AT_300_K) * 1e3, 2) == -1.96


def test_f2_drift_is_the_slope_of_the_reading():
    warm, cold = (reading(0.6, 1e-3, 25 + step, math.inf) for step in (0.5, -0.5))
    assert warm - cold == pytest.approx(drift(0.6, 25.0), rel=1e-3)


def test_f3_test_current_is_no_constant():
    """Minipa ET-3702A manual, p. 36, and others (seen): 1 to 1.5 mA, 3 V with the leads open."""
    assert TEST_CURRENT == (1e-3, 1.5e-3)
    more = drop_at(0.6, 1.5e-3, 25) - drop_at(0.6, 1e-3, 25)
    assert more == pytest.approx(thermal_voltage(25) * math.log(1.5))
    assert 0.5 <= drop_at(0.6, 1.5e-3, 25) <= 0.8  # silicon, the manual's band


def test_f5_with_1_kohm_across():
    """Confirmed with ngspice 39.3 (computed): IS 1e-14 A, 27 degC, 1 mA: 0.655118 V, across it 0.629441 V."""
    assert round(with_parallel(0.655118, 1e-3, 1e3, 27), 6) == 0.629441


@pytest.mark.parametrize("ohms", [1e-3, 1, 100, 470, 1e4, 1e6, 1e9])
def test_currents_beside_each_other_add_up(ohms):
    """Kirchhoff: what the junction and the resistance take is the test current."""
    vt = thermal_voltage(25)
    found = with_parallel(0.6, 1e-3, ohms, 25)
    junction_current = 1e-3 * math.exp((found - 0.6) / vt)
    assert junction_current + found / ohms == pytest.approx(1e-3, rel=1e-6)
