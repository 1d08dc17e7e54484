"""A line that a resistor pulls to a rail, and what pulls it down."""

from __future__ import annotations

from benchlore.circuit.interval import Value


def level(supply: Value, pull_up: Value, meter: Value) -> Value:
    """Level (V) of an idle line read by a meter: Vs / (1 + Rp/Rmeter).

    `supply` in V, `pull_up` and `meter` (input resistance) in ohm. Source: Ohm's law.
    """
    return supply / (1 + pull_up / meter)
