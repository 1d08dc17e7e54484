"""Root-sum-square: how far a result strays when the tolerances of its values are independent."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from benchlore.circuit.interval import Interval

_STEP = 1e-3  # share of the tolerance over which the slope is taken


@dataclass(frozen=True, slots=True)
class Toleranced:
    """A value with its symmetric tolerance, both in the same unit."""

    value: float
    tolerance: float

    @property
    def interval(self) -> Interval:
        """From value - tolerance to value + tolerance."""
        return Interval(self.value - self.tolerance, self.value + self.tolerance)


def root_sum_square(function: Callable[..., float], values: Sequence[Toleranced]) -> Toleranced:
    """The function at the middle of its values, and its tolerance: sqrt(sum((df/dx x tolerance)^2)).

    First-order propagation of independent inputs, JCGM 100:2008 (GUM) 5.1.2, equation 10, applied to
    tolerances; the slopes are central differences (5.1.3, note 2). An infinite tolerance gives an infinite
    one.
    """
    middle = [v.value for v in values]
    at_middle = function(*middle)
    if any(math.isinf(v.tolerance) for v in values):
        return Toleranced(at_middle, math.inf)
    effects = []
    for i, v in enumerate(values):
        if v.tolerance:
            step = v.tolerance * _STEP
            above, below = (
                function(*middle[:i], v.value + sign * step, *middle[i + 1 :]) for sign in (1, -1)
            )
            effects.append((above - below) / (2 * step) * v.tolerance)
    return Toleranced(at_middle, math.hypot(*effects))
