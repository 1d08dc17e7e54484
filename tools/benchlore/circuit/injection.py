"""Current-limited injection into a shorted rail: ceiling, starting limit, power in the short."""

from __future__ import annotations

import math
from dataclasses import dataclass

from benchlore.circuit.heat import Heat, seen_by
from benchlore.circuit.inputs import InputError, positive
from benchlore.quantity import Quantity

# Common practice, no source: start low, look, then raise.
FIRST_VOLTS = 0.5  # V to set at the start; above, the clamps of unpowered chips begin to conduct
FIRST_POWER = 0.5  # W in the short at the first limit
FIRST_LIMIT = 1.0  # A at most, as the first limit
LEAST_SHORT = 0.005  # ohm; less cannot be told from the leads


@dataclass(frozen=True, slots=True)
class InjectionPlan:
    """Settings of the bench supply (V, A) and the power that they bring into the short (W).

    The supply is set to `begin` and `limit` at first, and never above `ceiling`. With these, the rail reads
    `start_volts` and the short takes `start_amps`; `most` is the current at the ceiling.
    """

    begin: float
    limit: float
    ceiling: float
    start_volts: float
    start_amps: float
    start_power: float
    most: float
    most_power: float
    start_heat: Heat
    most_heat: Heat


def ceiling(rail: Quantity) -> float:
    """The highest voltage (V) that may be injected: the rail's nominal voltage, or the low end of a range."""
    return rail.nominal if rail.nominal is not None else rail.low


def plan_injection(rail: Quantity, short: Quantity) -> InjectionPlan:
    """How to inject into a rail whose normal voltage is `rail` (V) and which measures `short` (ohm) to
    ground.

    The ceiling is the rail's own voltage (the low end of a range), so that nothing behind a short that opens
    sees more. The supply begins at 0.5 V, so that a short that opens feeds no clamps; a rail below 0.5 V
    begins at its ceiling. The first limit is the current that puts 0.5 W into the short, sqrt(P/R), at most
    1 A. Whichever of the two is met first holds: the current at the start is the smaller of limit and V/R.
    Raises InputError. Source: Ohm's and Joule's laws; the settings are common practice, no source.
    """
    positive("rail", rail, "V")
    positive("short", short, "ohm")
    resistance = short.middle
    if resistance < LEAST_SHORT:
        raise InputError(
            "short", "is less than leads and meter can show; write 0.01 ohm and start from there"
        )
    volts = ceiling(rail)
    most = volts / resistance
    begin = min(FIRST_VOLTS, volts)
    limit = min(math.sqrt(FIRST_POWER / resistance), FIRST_LIMIT, most)
    amps = min(limit, begin / resistance)
    start_power, most_power = amps**2 * resistance, volts * most
    return InjectionPlan(
        begin,
        limit,
        volts,
        amps * resistance,
        amps,
        start_power,
        most,
        most_power,
        seen_by(start_power),
        seen_by(most_power),
    )
