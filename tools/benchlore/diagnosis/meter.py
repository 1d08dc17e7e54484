"""A meter's standard uncertainty, and the normal distribution that stands behind it.

Values are in the base unit of the mode (V, ohm, A, Hz, s, degC).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from benchlore.book.model import MeterRange

_SQRT2 = math.sqrt(2.0)
_SQRT3 = math.sqrt(3.0)
_SMALLEST = 1e-15  # base units; below what any meter resolves, it only keeps a division defined


def rectangular(half_width: float) -> float:
    """Standard uncertainty of a value that lies anywhere within +-`half_width`: half_width / sqrt(3).

    Source: JCGM 100:2008 (GUM) 4.3.7; for accuracy limits of unknown distribution also Fluke Calibration
    (2011) p. 41."""
    return half_width / _SQRT3


def range_for(ranges: Sequence[MeterRange], value: float) -> MeterRange:
    """The smallest range that shows `value`, by magnitude; the largest range when none does.

    `ranges` holds at least one range, smallest first.
    """
    size = abs(value)
    for candidate in ranges:
        if size <= candidate.up_to.middle:
            return candidate
    return ranges[-1]


def largest_reading(ranges: Sequence[MeterRange]) -> float:
    """The largest reading that any of the ranges shows."""
    return max(candidate.up_to.middle for candidate in ranges)


def accuracy_limit(chosen: MeterRange, value: float) -> float:
    """Half width of the accuracy limits at a reading: percent of reading + counts x resolution."""
    return abs(value) * chosen.reading / 100 + chosen.counts * chosen.resolution.middle


def standard_uncertainty(ranges: Sequence[MeterRange], value: float) -> float:
    """Standard uncertainty u of a reading, in its base unit, on the range that shows it.

    u = (|x| percent/100 + counts x resolution) / sqrt(3), and never less than that of the last digit,
    resolution / sqrt(12) (JCGM 100:2008 F.2.2.1).
    """
    chosen = range_for(ranges, value)
    digit = chosen.resolution.middle / 2
    return max(rectangular(accuracy_limit(chosen, value)), rectangular(digit), _SMALLEST)


def normal_between(low: float, high: float) -> float:
    """P(low < Z < high) of a standard normal Z, with full relative precision in both tails.

    Either end may be infinite. Only erfc of a non-negative argument is subtracted from its like, so that
    nothing cancels far out (Abramowitz and Stegun 7.1.2, 26.2.29)."""
    if low > 0:
        return (math.erfc(low / _SQRT2) - math.erfc(high / _SQRT2)) / 2
    if high < 0:
        return (math.erfc(-high / _SQRT2) - math.erfc(-low / _SQRT2)) / 2
    return 1 - math.erfc(high / _SQRT2) / 2 - math.erfc(-low / _SQRT2) / 2


def conformance(value: float, u: float, low: float, high: float) -> float:
    """Probability that the measured quantity lies between `low` and `high`, given a reading and its u.

    Source: JCGM 106:2012, clause 7 (normal distribution about the reading).
    """
    return normal_between((low - value) / u, (high - value) / u)
