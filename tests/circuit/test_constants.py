"""The constants of the circuit, each beside what it means: common practice, where no source is named.

Those that a standard gives are held in `tests/standards/`.
"""

from __future__ import annotations

import math

import pytest

from benchlore.circuit import (
    bus,
    cell,
    conductor,
    fuse,
    healthy,
    heat,
    injection,
    interval,
    junction,
    leak,
    usb_c,
)
from benchlore.circuit.graph import change, network, outcomes, power, predict, suspects, unpowered
from benchlore.circuit.graph.elements import GraphPart, Path, Source
from benchlore.circuit.healthy import Derived
from benchlore.circuit.interval import Interval
from benchlore.circuit.series import nearest_preferred, series_for
from benchlore.quantity import Quantity


def test_what_a_fault_changes() -> None:
    """A short has at most 5 ohm and a tenth of what holds the net, a leak a hundredth to half of that; from
    end to end a tenth of an ohm; a worn cell sags to half."""
    assert (Interval(0, 5), 0.1) == (change.SHORT, change.SHORT_SHARE)
    assert (Interval(0.01, 0.5), Interval(10, 1000)) == (change.LEAK_SHARE, change.LEAK)
    assert (Interval(0, 0.1), 0.5) == (change.END_TO_END, change.SAG)


def test_what_a_network_leaves_out() -> None:
    """A joint has a milliohm; 10 Gohm and more conduct nothing; 1 pS to ground keeps each node defined."""
    assert (network.LEAST, network.DIODE_SLOPE, network.LEAKAGE) == (1e-3, 1e-2, 1e-12)
    assert (1e10, Interval(0, 0)) == (network.OPEN, network.NOTHING)
    assert 0 < network._FAINT < 1e-200
    assert Interval(-math.inf, math.inf) == outcomes._ALL


def test_what_counts_as_up_and_what_a_short_trips() -> None:
    assert (power.UP, power.SOME, power.NEAR_ZERO) == (0.7, 0.1, 0.05)
    assert (Interval(10, 100), Interval(0, 0.05)) == (power.HELD, power.DEAD)
    assert (power.JOINED, power.PARTED, power.BLOWS) == (1.0, 10.0, 2.0)


def test_which_readings_are_one() -> None:
    assert (predict.ALIKE, unpowered.ALIKE, interval.SLACK) == (1e-6, 0.01, 1e-9)
    assert (0.1, Interval(0, 0)) == (predict.IDLE, predict._ZERO)
    assert (suspects.ROUNDED, suspects.AT_RAILS) == (20, 0.8)
    assert predict.Meter().open_volts == 3.0


def test_what_a_record_need_not_say() -> None:
    assert Quantity("0 ohm", "ohm", 0.0, 0.0, 0.0) == healthy._NO_OHMS
    assert Quantity("0 A", "A", 0.0, 0.0, 0.0) == healthy._NO_LOAD
    assert not GraphPart("R1", "resistor", ()).unplugs
    assert not Source("adapter", "IN", None).built_in
    assert Path("A", "B", Interval(0, 0)).unpowered
    assert not Derived(()).down


def test_injection_heat_and_leaks() -> None:
    """Start low, look, then raise; a small chip part warms by 200 K a watt (chip resistor data sheets)."""
    assert (injection.FIRST_VOLTS, injection.FIRST_POWER, injection.FIRST_LIMIT) == (0.5, 0.5, 1.0)
    assert injection.LEAST_SHORT == 0.005
    assert (heat.RISE_PER_WATT, heat.CAMERA_RISE, heat.PLAIN_RISE) == (200.0, 1.0, 10.0)
    assert (leak.SHORT, fuse.OPEN_DROP) == (1.0, 1.0)


def test_copper_and_junctions() -> None:
    """IEC 60028: 1/58 ohm mm2/m at 20 degC, 0.393 %/K. CODATA: k and e, exact since 2019."""
    assert pytest.approx(1.7241379e-8) == conductor.RESISTIVITY
    assert (conductor.COEFFICIENT, conductor.OUNCE_FOIL) == (0.00393, 34.3e-6)
    assert (conductor.FOIL_SPREAD, conductor.WARM) == (0.2, 60.0)
    assert (junction.BOLTZMANN, junction.ELEMENTARY_CHARGE) == (1.380649e-23, 1.602176634e-19)
    assert (junction.ZERO_CELSIUS, junction.SILICON_GAP) == (273.15, 1.11)
    assert (junction.RATED_CURRENT, junction.RATED_TEMPERATURE) == (1e-3, 25.0)
    assert (junction.TEST_CURRENT, junction.BENCH_TEMPERATURE) == ((1e-3, 1.5e-3), (18.0, 28.0))


def test_cells_and_buses() -> None:
    """Cell data sheets; UM10204 (I2C-bus specification), table 10; SMBus 2.0, table 1; Smart Battery Data
    Specification."""
    assert (cell.FULL, cell.CUT_OFF, cell.NOMINAL, cell.HIGH_VOLTAGE_FULL) == (
        4.2,
        (2.5, 3.0),
        (3.6, 3.8),
        4.45,
    )
    assert (bus.LOW_SHARE, bus.HIGH_SHARE) == (0.3, 0.7)
    timing = {name: (t.rise, t.capacitance, t.sink) for name, t in bus.I2C.items()}
    assert timing == {
        "standard": (1e-6, 400e-12, 3e-3),
        "fast": (300e-9, 400e-12, 3e-3),
        "fast-plus": (120e-9, 550e-12, 20e-3),
    }
    assert (bus.SMBUS.rise, bus.SMBUS.capacitance, bus.SMBUS.sink) == (1e-6, 400e-12, 4e-3)
    assert (bus.SMBUS_TIMEOUT, bus.SMBUS_CLOCK) == ((25e-3, 35e-3), (10e3, 100e3))
    assert (bus.SMART_BATTERY_ADDRESS, bus.SMART_CHARGER_ADDRESS) == (0x0B, 0x09)


@pytest.mark.parametrize(
    ("standard", "vdd", "expected"),
    [
        ("i2c", 3.3, (0.99, 2.31, 0.4, None)),  # UM10204, 7.1 and table 9
        ("i2c", 2.0, (0.6, 1.4, 0.4, None)),  # 0.2 VDD up to 2 V
        ("i2c", 1.8, (0.54, 1.26, 0.36, None)),
        ("smbus", 3.3, (0.8, 2.1, 0.4, None)),  # SMBus 2.0, 3.1.3
        ("smbus-3", 3.3, (0.8, 1.35, 0.4, None)),  # SMBus 3.0
        ("logic-3v3", 3.3, (0.8, 2.0, 0.4, 2.4)),  # JESD8C.01
        ("logic-1v8", 1.8, (0.63, 1.17, 0.45, 1.35)),  # JESD8-7A
    ],
)
def test_the_levels_of_each_standard(standard, vdd, expected) -> None:
    found = bus.levels(standard, vdd)
    for got, want in zip((found.vil, found.vih, found.vol, found.voh), expected, strict=True):
        assert got == (None if want is None else pytest.approx(want))


def test_usb_c() -> None:
    """USB Type-C R2.0, tables 4-25 and 4-36; USB PD r3.2, fixed supplies, and R3.0, table 7-24."""
    assert (usb_c.RD.low, usb_c.RD.high) == pytest.approx((4590, 5610))
    assert ((0.66, 1.23), Interval(4.75, 5.5)) == (usb_c.CC_THRESHOLDS, usb_c.PULL_UP_SUPPLY)
    assert usb_c.FIXED_SUPPLIES == (5.0, 9.0, 15.0, 20.0, 28.0, 36.0, 48.0)
    found_volts = (usb_c.SUPPLY_TOLERANCE, usb_c.VBUS_OFF, usb_c.VBUS_ON)
    assert found_volts == pytest.approx((0.05, 0.8, 4.75))
    found = {
        name: [(i.low, i.high) for i in (a.current, a.to_3v3, a.to_5v, a.level)]
        for name, a in usb_c.ADVERTS.items()
    }
    near = {
        "default": [(64e-6, 96e-6), (28.8e3, 43.2e3), (44.8e3, 67.2e3), (0.25, 0.61)],
        "1.5 A": [(165.6e-6, 194.4e-6), (11.4e3, 12.6e3), (20.9e3, 23.1e3), (0.70, 1.16)],
        "3 A": [(303.6e-6, 356.4e-6), (4465, 4935), (9.5e3, 10.5e3), (1.31, 2.04)],
    }
    assert found == {name: [pytest.approx(ends) for ends in each] for name, each in near.items()}


@pytest.mark.parametrize(
    ("tolerance", "unit", "sizes"),
    [
        # IEC 60063: E3 at 40 %, E6 at 20 %, E12 at 10 %, E24 at 5 %, E48 at 2 %, E96 at 1 %, E192 below. Sold
        # are capacitors from E6 on, and resistors from E24 on (common practice, no source).
        *((40.0, "F", (6,)), (20.0, "F", (6,)), (10.0, "F", (12,)), (5.0, "F", (24,)), (1.0, "F", (24, 96))),
        *((20.0, "ohm", (24,)), (5.0, "ohm", (24,)), (2.0, "ohm", (24, 48)), (1.0, "ohm", (24, 96))),
        *((0.5, "ohm", (24, 192)), (0.1, "ohm", (24, 192)), (0.0, "F", (24, 192)), (4.9, "ohm", (24, 48))),
    ],
)
def test_the_series_that_a_tolerance_calls_for(tolerance, unit, sizes) -> None:
    assert series_for(tolerance, unit) == sizes


@pytest.mark.parametrize(
    ("value", "tolerance", "unit", "nearest"),
    [
        (2.2e3, 5.0, "ohm", 2.2e3),
        (2.29e3, 5.0, "ohm", 2.2e3),  # in proportion 2.298 lies between 2.2 and 2.4
        (2.31e3, 5.0, "ohm", 2.4e3),
        (9.8e3, 5.0, "ohm", 10e3),
        (1.01e-7, 20.0, "F", 1e-7),
        (9.9e-8, 20.0, "F", 1e-7),
        (1.24e3, 1.0, "ohm", 1.24e3),
    ],
)
def test_the_nearest_value_that_is_made(value, tolerance, unit, nearest) -> None:
    assert nearest_preferred(value, tolerance, unit) == pytest.approx(nearest)
