"""Interval arithmetic: the worst case of a formula over the tolerances of its values.

A formula in which every value occurs once gets its exact worst case (R. E. Moore, Interval Analysis, 1966),
so the laws of this package are written that way: 1/(1 + t/b), not b/(t + b).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import product
from typing import TypeVar, overload

from benchlore.quantity import Quantity

# A law is written once, for a plain value and for an interval.
Value = TypeVar("Value", float, "Interval")
SLACK = 1e-9  # relative: two computed ends that differ by less are one


class CircuitError(ValueError):
    """Values that no circuit can have. The message says which, and why."""


@dataclass(frozen=True, slots=True)
class Interval:
    """All values from `low` to `high`, ends included; an end may be infinite."""

    low: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.high:
            raise CircuitError(f"no value lies from {self.low} to {self.high}")

    @property
    def middle(self) -> float:
        """Half-way between the ends; the finite end where the other is open."""
        if math.isinf(self.low) or math.isinf(self.high):
            return self.high if math.isinf(self.low) else self.low
        return self.low + (self.high - self.low) / 2

    @property
    def half_width(self) -> float:
        """Half the distance between the ends."""
        return 0.0 if self.low == self.high else (self.high - self.low) / 2

    def contains(self, other: Interval) -> bool:
        """True when `other` lies within, but for rounding."""
        return other.low >= self.low - _slack(self.low) and other.high <= self.high + _slack(self.high)

    def hull(self, other: Interval) -> Interval:
        """The smallest interval that holds both."""
        return Interval(min(self.low, other.low), max(self.high, other.high))

    def __add__(self, other: Interval | float) -> Interval:
        right = _interval(other)
        return Interval(self.low + right.low, self.high + right.high)

    __radd__ = __add__

    def __neg__(self) -> Interval:
        return Interval(-self.high, -self.low)

    def __sub__(self, other: Interval | float) -> Interval:
        return self + -_interval(other)

    def __rsub__(self, other: Interval | float) -> Interval:
        return _interval(other) + -self

    def __mul__(self, other: Interval | float) -> Interval:
        right = _interval(other)
        ends = [_times(a, b) for a, b in product((self.low, self.high), (right.low, right.high))]
        return Interval(min(ends), max(ends))

    __rmul__ = __mul__

    def __truediv__(self, other: Interval | float) -> Interval:
        right = _interval(other)
        if right.low <= 0 <= right.high:
            raise CircuitError("a value that may be zero cannot divide")
        return self * Interval(1 / right.high, 1 / right.low)

    def __rtruediv__(self, other: float) -> Interval:
        return _interval(other) / self


def interval(quantity: Quantity) -> Interval:
    """The interval of a quantity, in its base unit."""
    return Interval(quantity.low, quantity.high)


def _interval(value: Interval | float) -> Interval:
    return value if isinstance(value, Interval) else Interval(value, value)


def _times(a: float, b: float) -> float:
    return 0.0 if a == 0 or b == 0 else a * b


def _slack(end: float) -> float:
    return SLACK * abs(end) if math.isfinite(end) else 0.0


@overload
def log(value: float) -> float: ...
@overload
def log(value: Interval) -> Interval: ...
def log(value: float | Interval) -> float | Interval:
    """Natural logarithm. Raises CircuitError when the value may be zero or less."""
    low = value.low if isinstance(value, Interval) else value
    if low <= 0:
        raise CircuitError("the logarithm of a value that may be zero or negative does not exist")
    return (
        Interval(math.log(value.low), math.log(value.high))
        if isinstance(value, Interval)
        else math.log(value)
    )


def monotone(function: Callable[..., float], values: Sequence[Interval]) -> Interval:
    """Worst case of a function that rises or falls with each of its values all the way: the extremes of its
    corners."""
    corners = [function(*corner) for corner in product(*({v.low, v.high} for v in values))]
    return Interval(min(corners), max(corners))
