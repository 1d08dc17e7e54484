"""Preferred values of resistors and capacitors, IEC 60063: the E series, and which of them a tolerance calls
for."""

from __future__ import annotations

import math
from functools import lru_cache

# Where the standard's two-digit values differ from 10^(i/24) rounded (E24), and its one three-digit value
# (E192).
_E24_SET = {10: 2.7, 11: 3.0, 12: 3.3, 13: 3.6, 14: 3.9, 15: 4.3, 16: 4.7, 22: 8.2}
_E192_SET = {185: 9.20}
SIZES = (3, 6, 12, 24, 48, 96, 192)
# IEC 60063: the series in which neighbours lie about twice the tolerance apart, by the tolerance in percent.
TOLERANCES = {3: 40.0, 6: 20.0, 12: 10.0, 24: 5.0, 48: 2.0, 96: 1.0, 192: 0.5}


@lru_cache(maxsize=len(SIZES))
def series(size: int) -> tuple[float, ...]:
    """One decade, 1 to 10, of the series E`size`. Raises ValueError for a size that the standard does not
    have."""
    if size not in SIZES:
        raise ValueError(f"there is no series E{size}; the standard has E{', E'.join(map(str, SIZES))}")
    base, digits, exceptions = (24, 1, _E24_SET) if size <= 24 else (192, 2, _E192_SET)
    step = base // size
    return tuple(exceptions.get(i, round(10 ** (i / base), digits)) for i in range(0, base, step))


def series_for(tolerance: float, unit: str) -> tuple[int, ...]:
    """The series in which parts of a tolerance (percent) are sold, coarsest first; `unit` is `ohm` or `F`.

    The series of the tolerance. Resistors come in E24 whatever the tolerance, and capacitors of 1 % too
    (common practice, no source).
    """
    fitting = next((size for size in SIZES if TOLERANCES[size] <= tolerance + 1e-9), 192)
    if fitting <= 24:
        return (24,) if unit == "ohm" else (max(fitting, 6),)
    return (24, fitting)


def mantissa(value: float) -> float:
    """A value's significand, from 1 up to 10, free of the rounding of its power of ten. `value` must be
    positive."""
    shown = float(f"{value:.9e}".split("e")[0])
    return 1.0 if shown >= 10 else shown


def is_preferred(value: float, tolerance: float, unit: str) -> bool:
    """True when a series that the tolerance (percent) calls for has the value. `value` must be positive."""
    shown = mantissa(value)
    return any(
        math.isclose(shown, v, rel_tol=1e-6) for size in series_for(tolerance, unit) for v in series(size)
    )


def nearest_preferred(value: float, tolerance: float, unit: str) -> float:
    """The nearest value, in proportion, that a series for the tolerance (percent) has.

    `value` must be positive.
    """
    power = math.floor(math.log10(value))
    candidates = [
        float(f"{v}e{p}")
        for size in series_for(tolerance, unit)
        for v in series(size)
        for p in (power - 1, power, power + 1)
    ]
    return min(candidates, key=lambda v: abs(math.log(v / value)))
