"""The leak that explains a low data line, and whether it shows as heat."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from benchlore.circuit.heat import Heat, seen_by
from benchlore.circuit.inputs import Estimate, InputError, not_negative, positive
from benchlore.circuit.interval import interval
from benchlore.circuit.pull_up import level
from benchlore.quantity import Quantity

Verdict = Literal["none", "leak", "short"]
SHORT = 1.0  # ohm; below this the leak is a short (common practice, no source)


@dataclass(frozen=True, slots=True)
class Leak:
    """The resistance to ground (ohm) that explains a reading, its current (A) and power (W).

    `healthy` is what the meter reads without a leak (V); `most_power` what any leak on this line can take
    (W).
    """

    verdict: Verdict
    healthy: Estimate
    resistance: Estimate
    current: Estimate
    power: Estimate
    most_power: float
    heat: Heat


def find_leak(supply: Quantity, pull_up: Quantity, reading: Quantity, meter: Quantity) -> Leak:
    """The leak behind `reading` (V) on a line pulled up to `supply` (V) by `pull_up` (ohm), read by `meter`
    (ohm).

    The pull-up brings (Vs - V)/Rp, the meter takes V/Rm, the leak takes the rest. The leak can take no more
    than Vs^2/(4 Rp), when it equals the pull-up. Raises InputError. Source: Ohm's law, maximum power
    transfer.
    """
    positive("supply", supply, "V")
    positive("pull_up", pull_up, "ohm")
    not_negative("reading", reading, "V")
    positive("meter", meter, "ohm")
    if reading.low > supply.high:
        raise InputError("reading", "lies above the rail: something drives the line, so it is no leak")
    worst = level(interval(supply), interval(pull_up), interval(meter))
    healthy = Estimate(worst.low, level(supply.middle, pull_up.middle, meter.middle), worst.high)
    current = Estimate(
        _leak_current(supply.low, pull_up.high, reading.high, meter.low),
        _leak_current(supply.middle, pull_up.middle, reading.middle, meter.middle),
        _leak_current(supply.high, pull_up.low, reading.low, meter.high),
    )
    resistance = Estimate(
        _ratio(reading.low, _leak_current(supply.high, pull_up.low, reading.low, meter.high)),
        _ratio(reading.middle, current.middle),
        _ratio(reading.high, _leak_current(supply.low, pull_up.high, reading.high, meter.low)),
    )
    power = Estimate(
        _least_power(supply.low, pull_up.high, reading, meter.low),
        reading.middle * current.middle,
        _largest_power(supply.high, pull_up.low, reading, meter.high),
    )
    if reading.high >= healthy.low:
        verdict: Verdict = "none"
    else:
        verdict = "short" if resistance.middle < SHORT else "leak"
    most = supply.high**2 / (4 * pull_up.low)
    return Leak(verdict, healthy, resistance, current, power, most, seen_by(power.middle))


def _leak_current(supply: float, pull_up: float, reading: float, meter: float) -> float:
    return max((supply - reading) / pull_up - reading / meter, 0.0)


def _ratio(volts: float, amps: float) -> float:
    return volts / amps if amps > 0 else math.inf


def _least_power(supply: float, pull_up: float, reading: Quantity, meter: float) -> float:
    return min(v * _leak_current(supply, pull_up, v, meter) for v in (reading.low, reading.high))


def _largest_power(supply: float, pull_up: float, reading: Quantity, meter: float) -> float:
    # V times the current is a parabola in V, so its top may lie inside the reading's tolerance.
    top = supply / (2 * (1 + pull_up / meter))
    inside = min(max(top, reading.low), reading.high)
    return max(v * _leak_current(supply, pull_up, v, meter) for v in (reading.low, inside, reading.high))
