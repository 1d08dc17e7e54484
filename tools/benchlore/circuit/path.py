"""What is lost between two nets: resistance of a switch, fuse or shunt, drop of a diode."""

from __future__ import annotations

from benchlore.circuit.interval import Value


def after_resistance(source: Value, resistance: Value, load: Value) -> Value:
    """Voltage (V) behind a series resistance: Vin - R I. `source` in V, `resistance` in ohm, `load` in A.
    Ohm's law."""
    return source - resistance * load


def after_diode(source: Value, drop: Value) -> Value:
    """Voltage (V) behind a diode: Vin - Vf, both in V, the drop at the load that flows."""
    return source - drop
