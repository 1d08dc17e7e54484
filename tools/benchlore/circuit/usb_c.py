"""USB-C: what the CC line reads, and which voltages the bus supplies."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from benchlore.circuit.interval import Interval

# USB Type-C R2.0 table 4-25: the sink's pull-down; 10 % is enough to read the advertised current.
RD = Interval(5.1e3 * 0.9, 5.1e3 * 1.1)


@dataclass(frozen=True, slots=True)
class Advert:
    """One advertised current: the source's pull-up as a current (A) and as resistors (ohm), and the level on
    CC (V)."""

    current: Interval
    to_3v3: Interval
    to_5v: Interval
    level: Interval


def _near(value: float, share: float) -> Interval:
    return Interval(value * (1 - share), value * (1 + share))


# USB Type-C source Rp table; levels from R2.0 table 4-36. The 5 V pull-ups hang on 4.75 to 5.5 V.
ADVERTS: Mapping[str, Advert] = MappingProxyType(
    {
        "default": Advert(_near(80e-6, 0.2), _near(36e3, 0.2), _near(56e3, 0.2), Interval(0.25, 0.61)),
        "1.5 A": Advert(_near(180e-6, 0.08), _near(12e3, 0.05), _near(22e3, 0.05), Interval(0.70, 1.16)),
        "3 A": Advert(_near(330e-6, 0.08), _near(4.7e3, 0.05), _near(10e3, 0.05), Interval(1.31, 2.04)),
    }
)
CC_THRESHOLDS = (0.66, 1.23)  # V, table 4-36
PULL_UP_SUPPLY = Interval(4.75, 5.5)  # V

# USB PD r3.2: the fixed supplies, in V, within 5 %; the last three are the extended range.
FIXED_SUPPLIES = (5.0, 9.0, 15.0, 20.0, 28.0, 36.0, 48.0)
SUPPLY_TOLERANCE = 0.05
# USB PD R3.0 table 7-24.
VBUS_OFF = 0.8  # V at most: vSafe0V
VBUS_ON = FIXED_SUPPLIES[0] * (1 - SUPPLY_TOLERANCE)  # V at least: vSafe5V


def advert_of(level: Interval) -> str | None:
    """The advertised current whose window holds the whole level (V) on CC, or None."""
    return next((name for name, advert in ADVERTS.items() if advert.level.contains(level)), None)


def is_fixed_supply(volts: float) -> bool:
    """True when a voltage (V) is one of the fixed supplies."""
    return volts in FIXED_SUPPLIES
