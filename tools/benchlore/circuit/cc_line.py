"""What the CC line of a USB-C port says: the current that is advertised, and the pull-up behind it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from benchlore.circuit.inputs import Estimate, not_negative
from benchlore.circuit.usb_c import ADVERTS, CC_THRESHOLDS, FIXED_SUPPLIES, PULL_UP_SUPPLY, RD
from benchlore.quantity import Quantity

Said = Literal["nothing", "default", "1.5 A", "3 A", "open"]


@dataclass(frozen=True, slots=True)
class CcLine:
    """The advertised current, whether the whole reading lies in its window, the window's ends (V), and the
    pull-up (ohm) to 5 V that gives the reading.

    "nothing": the line is at ground. "open": nothing pulls it down; both have no window and no pull-up.
    """

    advertised: Said
    inside: bool
    window: Estimate | None
    pull_up: Estimate | None


def cc_line(reading: Quantity) -> CcLine:
    """What a sink with its pull-down makes of `reading` (V) on CC. Raises InputError.

    Thresholds and windows: USB Type-C R2.0, table 4-36 (second-hand). Rp = Rd (Vs/V - 1), Ohm's law, with Rd
    of 5.1 kohm within 10 % and Vs of 4.75 to 5.5 V, 5 V in the middle.
    """
    not_negative("reading", reading, "V")
    volts = reading.middle
    windows = {name: advert.level for name, advert in ADVERTS.items()}
    if volts < windows["default"].low:
        return CcLine("nothing", True, None, None)
    if volts > windows["3 A"].high:
        return CcLine("open", True, None, None)
    names: tuple[Said, Said, Said] = ("default", "1.5 A", "3 A")
    name = names[sum(volts >= threshold for threshold in CC_THRESHOLDS)]
    window = windows[name]
    pull_up = Estimate(
        RD.low * (PULL_UP_SUPPLY.low / reading.high - 1),
        RD.middle * (FIXED_SUPPLIES[0] / volts - 1),
        RD.high * (PULL_UP_SUPPLY.high / reading.low - 1),
    )
    inside = window.low <= reading.low and reading.high <= window.high
    return CcLine(name, inside, Estimate(window.low, window.middle, window.high), pull_up)
