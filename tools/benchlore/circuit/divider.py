"""Two resistors that set a voltage: the divider with the meter's load on it, and the divider in a feedback
loop."""

from __future__ import annotations

from benchlore.circuit.interval import Value


def feedback(reference: Value, top: Value, bottom: Value) -> Value:
    """Output (V) of a converter whose loop holds the divider's tap at the reference: Vref (1 + Rtop/Rbottom).

    `reference` in V, `top` (output to tap) and `bottom` (tap to ground) in ohm; the tap's bias current is
    neglected. Source: P. Horowitz and W. Hill, The Art of Electronics, adjustable regulators (from memory).
    """
    return reference * (1 + top / bottom)


def divider(source: Value, top: Value, bottom: Value, meter: Value) -> Value:
    """Tap voltage (V) of a divider read by a meter: Vin / (1 + Rtop (1/Rbottom + 1/Rmeter)).

    `source` in V, resistances in ohm. Source: Ohm's and Kirchhoff's laws; 100k/100k from 10 V read by 10 Mohm
    gives 4.975124 V (confirmed with ngspice).
    """
    return source / (1 + top * (1 / bottom + 1 / meter))
