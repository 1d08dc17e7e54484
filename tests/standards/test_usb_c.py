"""USB Type-C R2.0 (tables 4-25 and 4-36, source Rp table), USB PD R3.0 table 7-24 and r3.2."""

import pytest

from benchlore.circuit.cc_line import cc_line
from benchlore.circuit.divider import divider
from benchlore.circuit.interval import Interval
from benchlore.circuit.typed import typed
from benchlore.circuit.usb_c import (
    ADVERTS,
    CC_THRESHOLDS,
    FIXED_SUPPLIES,
    PULL_UP_SUPPLY,
    RD,
    SUPPLY_TOLERANCE,
    VBUS_OFF,
    VBUS_ON,
    advert_of,
    is_fixed_supply,
)

NO_METER = Interval(float("inf"), float("inf"))


def test_b1_pull_down():
    """Table 4-25 (second-hand): Rd 5.1 kohm, 10 % to read the advertised current."""
    assert (RD.low, RD.high) == pytest.approx((4590, 5610))


@pytest.mark.parametrize(
    ("name", "current", "share", "to_3v3", "share_3v3", "to_5v", "share_5v"),
    [
        ("default", 80e-6, 0.20, 36e3, 0.20, 56e3, 0.20),
        ("1.5 A", 180e-6, 0.08, 12e3, 0.05, 22e3, 0.05),
        ("3 A", 330e-6, 0.08, 4.7e3, 0.05, 10e3, 0.05),
    ],
)
def test_b2_pull_up(name, current, share, to_3v3, share_3v3, to_5v, share_5v):
    """Source Rp table (second-hand)."""
    advert = ADVERTS[name]
    for found, value, spread in (
        (advert.current, current, share),
        (advert.to_3v3, to_3v3, share_3v3),
        (advert.to_5v, to_5v, share_5v),
    ):
        assert (found.low, found.high) == pytest.approx((value * (1 - spread), value * (1 + spread)))
    assert (PULL_UP_SUPPLY.low, PULL_UP_SUPPLY.high) == (4.75, 5.5)


def test_b3_voltage_on_cc():
    """Table 4-36 (second-hand): three windows, parted by two thresholds."""
    windows = [(a.level.low, a.level.high) for a in ADVERTS.values()]
    assert windows == [(0.25, 0.61), (0.70, 1.16), (1.31, 2.04)]
    assert CC_THRESHOLDS == (0.66, 1.23)
    for (_, below), threshold, (above, _) in zip(windows[:2], CC_THRESHOLDS, windows[1:], strict=True):
        assert below < threshold < above
    assert advert_of(Interval(0.8, 1.0)) == "1.5 A"
    assert advert_of(Interval(0.6, 0.8)) is None


@pytest.mark.parametrize(("name", "upper"), [("default", 0.6121), ("1.5 A", 1.1639), ("3 A", 2.0420)])
def test_b4_upper_limit_is_the_worst_case_divider(name, upper):
    """Derived from b1 and b2 (computed): 5.5 V, Rp - tolerance, Rd + 10 %. Only the upper limits follow from
    it."""
    worst = divider(PULL_UP_SUPPLY, ADVERTS[name].to_5v, RD, NO_METER)
    assert round(worst.high, 4) == upper
    assert abs(worst.high - ADVERTS[name].level.high) < 0.005
    assert ADVERTS[name].level.low < worst.low


def test_b5_vbus():
    """USB PD R3.0 table 7-24 (second-hand): vSafe0V at most 0.8 V, vSafe5V at least 4.75 V."""
    assert VBUS_OFF == 0.8
    assert VBUS_ON == 4.75
    assert PULL_UP_SUPPLY.low == VBUS_ON


def test_b6_fixed_supplies():
    """USB PD r3.2 (second-hand): 5, 9, 15, 20 V, extended 28, 36, 48 V, within 5 %."""
    assert list(FIXED_SUPPLIES) == [5.0, 9.0, 15.0, 20.0, 28.0, 36.0, 48.0]
    assert SUPPLY_TOLERANCE == 0.05
    assert is_fixed_supply(9.0)
    assert not is_fixed_supply(12.0)


@pytest.mark.parametrize(("name", "ohms"), [("default", 56e3), ("1.5 A", 22e3), ("3 A", 10e3)])
def test_b7_a_reading_on_cc_leads_back_to_its_pull_up(name, ohms):
    """Source Rp table (second-hand): 5 V, the pull-up, 5.1 kohm to ground."""
    found = cc_line(typed("reading", f"{5 * 5.1e3 / (ohms + 5.1e3):.6f} V", "V"))
    assert (found.advertised, found.inside) == (name, True)
    assert found.pull_up is not None
    assert found.pull_up.middle == pytest.approx(ohms, rel=1e-4)
    assert found.pull_up.low < ohms < found.pull_up.high


@pytest.mark.parametrize(
    ("volts", "said", "inside"),
    [
        ("0.24", "nothing", True),
        ("0.25", "default", True),
        ("0.63", "default", False),  # between the window and the threshold
        ("0.67", "1.5 A", False),
        ("1.22", "1.5 A", False),
        ("1.23", "3 A", False),
        ("2.04", "3 A", True),
        ("2.05", "open", True),
        ("0.6 to 0.8 V", "1.5 A", False),
    ],
)
def test_b8_windows_and_thresholds_of_a_sink(volts, said, inside):
    """Table 4-36 (second-hand)."""
    found = cc_line(typed("reading", volts, "V"))
    assert (found.advertised, found.inside) == (said, inside)


def test_the_pull_up_by_both_ends_of_what_is_not_known():
    """0.9 V to 1.0 V: Rd 4.59 to 5.61 kohm, a supply of 4.75 to 5.5 V; at least 4590 (4.75/1.0 - 1), at most
    5610 (5.5/0.9 - 1)."""
    found = cc_line(typed("reading", "0.9 to 1.0 V", "V")).pull_up
    assert found is not None
    assert found.low == pytest.approx(4590 * 3.75)
    assert found.high == pytest.approx(5610 * (5.5 / 0.9 - 1))
