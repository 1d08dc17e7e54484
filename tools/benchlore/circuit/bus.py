"""Levels of published bus and logic standards, and the pull-up that a bus allows."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from benchlore.circuit.interval import CircuitError
from benchlore.circuit.rc import rise_time

# UM10204 (I2C-bus specification) rev 5 and 6, section 7.1: the rise time runs from 30 % to 70 % of VDD.
LOW_SHARE, HIGH_SHARE = 0.3, 0.7


@dataclass(frozen=True, slots=True)
class Levels:
    """What counts as low and as high at an input, and what an output reaches, in V. None: not in the
    standard."""

    vil: float
    vih: float
    vol: float
    voh: float | None
    source: str


@dataclass(frozen=True, slots=True)
class Timing:
    """What bounds a pull-up: longest rise time (s), most capacitance (F), sink current at VOL (A)."""

    rise: float
    capacitance: float
    sink: float
    source: str


@dataclass(frozen=True, slots=True)
class Window:
    """The pull-up (ohm) that a bus allows; `high` is infinite where no capacitance is known."""

    low: float
    high: float


# UM10204 tables 9 and 10.
I2C: Mapping[str, Timing] = MappingProxyType(
    {
        "standard": Timing(1000e-9, 400e-12, 3e-3, "UM10204 (I2C-bus specification), table 10"),
        "fast": Timing(300e-9, 400e-12, 3e-3, "UM10204 (I2C-bus specification), table 10"),
        "fast-plus": Timing(120e-9, 550e-12, 20e-3, "UM10204 (I2C-bus specification), table 10"),
    }
)
# SMBus 2.0, 3.1.1 to 3.1.3 and table 1; the rise time from memory. A high-power device sinks 4 mA, a low-
# power one 350 uA.
SMBUS = Timing(1000e-9, 400e-12, 4e-3, "SMBus 2.0, 3.1.3 (rise time from memory)")
SMBUS_TIMEOUT = (25e-3, 35e-3)  # s, SMBus 2.0, table 1: a clock held low this long resets the bus
SMBUS_CLOCK = (10e3, 100e3)  # Hz, SMBus 2.0, table 1
# Seven-bit addresses: Smart Battery Data and Smart Battery Charger Specifications.
SMART_BATTERY_ADDRESS = 0x0B
SMART_CHARGER_ADDRESS = 0x09

_TIMING = MappingProxyType({"i2c": I2C["standard"], "smbus": SMBUS})
STANDARDS = ("i2c", "smbus", "logic-3v3", "logic-1v8")


def levels(standard: str, vdd: float) -> Levels:
    """The levels of a standard at a supply `vdd` (V). Raises CircuitError for a standard that is not
    listed."""
    match standard:
        case "i2c":
            vol = i2c_low_output(vdd)[0]
            return Levels(
                LOW_SHARE * vdd, HIGH_SHARE * vdd, vol, None, "UM10204 (I2C-bus specification), 7.1, table 9"
            )
        case "smbus":
            return Levels(0.8, 2.1, 0.4, None, "SMBus 2.0, 3.1.3")
        case "smbus-3":
            return Levels(0.8, 1.35, 0.4, None, "SMBus 3.0")
        case "logic-3v3":
            return Levels(0.8, 2.0, 0.4, 2.4, "JESD8C.01")
        case "logic-1v8":
            return Levels(0.35 * vdd, 0.65 * vdd, 0.45, vdd - 0.45, "JESD8-7A")
    raise CircuitError(f"'{standard}' is no standard with logic levels; use one of {', '.join(STANDARDS)}")


def i2c_low_output(vdd: float) -> tuple[float, float]:
    """Highest VOL (V) and the sink current (A) it holds at: 0.4 V at 3 mA over 2 V, else 0.2 VDD at 2 mA.

    Source: UM10204 table 9.
    """
    return (0.4, 3e-3) if vdd > 2 else (0.2 * vdd, 2e-3)


def pull_up_window(vdd: float, vol: float, sink: float, rise: float, capacitance: float | None) -> Window:
    """The pull-up (ohm) that still gives a low level and a timely rise: UM10204 equations 1 and 2.

    Rp(min) = (VDD - VOL)/IOL; Rp(max) = tr/(0.8473 Cb). `vdd`, `vol` in V, `sink` in A, `rise` in s,
    `capacitance` in F or None when it is unknown.
    """
    slowest = rise / rise_time(1.0, capacitance, LOW_SHARE, HIGH_SHARE) if capacitance else math.inf
    return Window((vdd - vol) / sink, slowest)


def pull_up_window_of(standard: str, vdd: float, capacitance: float | None) -> Window | None:
    """The pull-up window (ohm) of a bus standard at a supply (V); None where the standard sets none."""
    timing = _TIMING.get(standard)
    if timing is None:
        return None
    vol, sink = i2c_low_output(vdd) if standard == "i2c" else (levels(standard, vdd).vol, timing.sink)
    return pull_up_window(vdd, vol, sink, timing.rise, capacitance)
