"""What the bench's calculations take and give: checked quantities in, estimates out."""

from __future__ import annotations

import math
from dataclasses import dataclass

from benchlore.circuit.interval import CircuitError
from benchlore.quantity import Quantity

UNIT_EXAMPLES = {
    "V": "a voltage, such as 3.05 V",
    "ohm": "a resistance, such as 2.2 kohm",
    "A": "a current, such as 2 A",
}


class InputError(CircuitError):
    """A value that the calculation cannot take: which `field`, and why."""

    def __init__(self, field: str, reason: str) -> None:
        super().__init__(f"{field}: {reason}")
        self.field = field
        self.reason = reason


@dataclass(frozen=True, slots=True)
class Estimate:
    """A result at the stated values, and its worst case over their tolerances, all in one unit."""

    low: float
    middle: float
    high: float


def positive(field: str, quantity: Quantity, unit: str) -> Quantity:
    """The quantity, when it is a finite value of the unit above zero. Raises InputError."""
    _finite(field, quantity, unit)
    if quantity.low <= 0:
        raise InputError(field, "must be more than zero")
    return quantity


def not_negative(field: str, quantity: Quantity, unit: str) -> Quantity:
    """The quantity, when it is a finite value of the unit, zero or more. Raises InputError."""
    _finite(field, quantity, unit)
    if quantity.low < 0:
        raise InputError(field, "is negative; swap the leads")
    return quantity


def _finite(field: str, quantity: Quantity, unit: str) -> None:
    if quantity.unit != unit or not (math.isfinite(quantity.low) and math.isfinite(quantity.high)):
        raise InputError(field, f"write {UNIT_EXAMPLES[unit]}")
