"""SMBus 2.0 and 3.0; Smart Battery Data and Smart Battery Charger Specifications."""

from benchlore.circuit.bus import (
    SMART_BATTERY_ADDRESS,
    SMART_CHARGER_ADDRESS,
    SMBUS,
    SMBUS_CLOCK,
    SMBUS_TIMEOUT,
    levels,
)


def test_a6_levels_do_not_follow_the_supply():
    """SMBus 2.0, 3.1.1 to 3.1.3 (second-hand): VIL 0.8, VIH 2.1, VOL 0.4 V."""
    for vdd in (3.0, 3.42, 5.0):
        found = levels("smbus", vdd)
        assert (found.vil, found.vih, found.vol) == (0.8, 2.1, 0.4)


def test_a6_currents_and_times():
    """SMBus 2.0, 3.1.2, 3.1.3 and table 1 (second-hand)."""
    assert SMBUS.sink == 4e-3
    assert SMBUS_TIMEOUT == (25e-3, 35e-3)
    assert SMBUS_CLOCK == (10e3, 100e3)


def test_a7_levels_of_version_3():
    """SMBus 3.0 (second-hand): VIL 0.8, VIH 1.35 V."""
    found = levels("smbus-3", 1.8)
    assert (found.vil, found.vih) == (0.8, 1.35)


def test_a8_addresses():
    """Smart Battery Data and Smart Battery Charger Specifications (second-hand), 7 bit."""
    assert SMART_BATTERY_ADDRESS == 0x0B
    assert SMART_CHARGER_ADDRESS == 0x09
    # The same addresses as written with the read/write bit, 0x16 and 0x12.
    assert SMART_BATTERY_ADDRESS << 1 == 0x16
    assert SMART_CHARGER_ADDRESS << 1 == 0x12
