"""Can the power that goes into a fault be seen as heat?"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

# A small chip part on a board, from memory of chip resistor data sheets: 0402 to 0805 lie around this.
RISE_PER_WATT = 200.0  # K/W
# Common practice, no source: what a bench camera shows against the board, and what alcohol or a film shows.
CAMERA_RISE = 1.0  # K
PLAIN_RISE = 10.0  # K

Heat = Literal["hidden", "camera", "plain"]


def rise(power: float) -> float:
    """Temperature rise (K) of a small part in which `power` (W) goes: an order of magnitude, no more."""
    return power * RISE_PER_WATT


def seen_by(power: float) -> Heat:
    """Who sees `power` (W) as heat: nobody (hidden), a thermal camera only, or alcohol and film too
    (plain)."""
    if rise(power) < CAMERA_RISE:
        return "hidden"
    return "camera" if rise(power) < PLAIN_RISE else "plain"


# In words.
HEAT: Mapping[Heat, str] = MappingProxyType(
    {
        "hidden": "too little to be seen as heat",
        "camera": "enough for a thermal camera, not for alcohol",
        "plain": "enough to be seen with a camera or with alcohol",
    }
)
