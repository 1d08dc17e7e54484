"""A meter's standard uncertainty, and the normal distribution that stands behind it.

Values are in the base unit of the mode (V, ohm, A, Hz, s, degC).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from benchlore.book.model import Measurement, Meter, MeterRange
from benchlore.quantity import Quantity

_SQRT2 = math.sqrt(2.0)
_SQRT3 = math.sqrt(3.0)
MOST_APART = 1000.0  # %: beyond it two readings are no more alike
_TENTH = 0.1  # %
_SMALLEST = 1e-15  # base units; below what any meter resolves, it only keeps a division defined


def rectangular(half_width: float) -> float:
    """Standard uncertainty of a value that lies anywhere within +-`half_width`: half_width / sqrt(3).

    Source: JCGM 100:2008 (GUM) 4.3.7; for accuracy limits of unknown distribution also Fluke Calibration
    (2011) p. 41."""
    return half_width / _SQRT3


def ranges_of(measurement: Measurement, meter: Meter) -> tuple[MeterRange, ...]:
    """The ranges that a meter has for a measurement, smallest first; none where it lacks the function, and
    where an outcome is named.

    Of a comparison they are in percent. The gain of the meter is common to two readings of one range and
    cancels in their ratio; what is left are the counts of both, taken at half of the best range. A reading
    that was typed brings its own uncertainty (`ratio_uncertainty`).
    """
    if measurement.unit is None:
        return ()
    ranges = tuple(meter.accuracy.get(measurement.mode, ()))
    return compared(ranges) if measurement.compare else ranges


def compared(ranges: Sequence[MeterRange]) -> tuple[MeterRange, ...]:
    """The one range (%) of a comparison between two readings of these ranges; none of none."""
    if not ranges:
        return ()
    share = min(200 * r.counts * r.resolution.middle / r.up_to.middle for r in ranges)
    counts = max(math.ceil(math.sqrt(2) * share / _TENTH), 1)
    return (MeterRange(up_to=_percent(MOST_APART), resolution=_percent(_TENTH), reading=0.0, counts=counts),)


def ratio_uncertainty(ranges: Sequence[MeterRange], one: float, other: float) -> float:
    """Standard uncertainty (%) of 100 (one / other - 1), both read with one meter.

    On one range its gain error is common to both and cancels; the counts of each are its own:
    u = 100 |one / other| root(u(one)^2 / one^2 + u(other)^2 / other^2), JCGM 100:2008, 5.1.2 and F.1.2.3.
    """
    same = range_for(ranges, one) is range_for(ranges, other)
    shares = []
    for value in (one, other):
        chosen = range_for(ranges, value)
        limit = chosen.counts * chosen.resolution.middle if same else accuracy_limit(chosen, value)
        own = max(rectangular(limit), rectangular(chosen.resolution.middle / 2))
        shares.append(own / max(abs(value), chosen.resolution.middle))
    return max(100 * abs(one / other) * math.hypot(*shares), _SMALLEST)


def _percent(value: float) -> Quantity:
    return Quantity(f"{value:g} %", "%", value, value, value)


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
