"""The delay of a resistor and a capacitor."""

from __future__ import annotations

from benchlore.circuit.interval import Value, log


def delay(resistor: Value, capacitor: Value, threshold: Value, supply: Value) -> Value:
    """Time (s) for a capacitor to charge from 0 V to the threshold: -R C ln(1 - Vth/Vs).

    `resistor` in ohm, `capacitor` in F, voltages in V. Raises CircuitError when the threshold may not be
    reached. Source: the first-order step response, any circuits textbook; from 30 % to 70 % of the supply it
    takes ln(7/3) RC = 0.8473 RC (UM10204, I2C-bus specification, rev 5 and 6, section 7.1).
    """
    return -(resistor * capacitor * log(1 - threshold / supply))


def rise_time(resistor: Value, capacitor: Value, low: float, high: float) -> Value:
    """Time (s) from the share `low` to the share `high` of the supply: R C ln((1 - low)/(1 - high))."""
    return resistor * capacitor * log((1 - low) / (1 - high))
