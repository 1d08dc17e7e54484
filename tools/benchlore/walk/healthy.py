"""What good boards read, as a range; and how it stands beside what the records say."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from benchlore.book.model import Measurement
from benchlore.diagnosis.meter import largest_reading, ranges_of
from benchlore.walk.file import Shown

# By how much boards that were not walked may differ from those that were, in percent of the reading: what
# the parts that set it vary by (common practice, no source).
OTHERS = {"dc-volts": 2.0, "ac-ripple": 50.0, "junction": 6.0, "ohms": 20.0, "amps": 30.0, "hertz": 1.0}
_OTHERS = 10.0

Verdict = Literal["agrees", "edge", "differs"]


@dataclass(frozen=True, slots=True)
class Range:
    """What some good boards read, from end to end, the meter's error in it; in the base unit.

    low = least reading - its accuracy limit, high = greatest reading + its accuracy limit. `high` is infinite
    where a board read over range. `spread`: between the boards, without the meter's error; None of one board.
    `limit`: the greatest accuracy limit among the readings.
    """

    low: float
    high: float
    spread: float | None
    limit: float


def range_of(measurement: Measurement, boards: Sequence[Shown]) -> Range | None:
    """The range of what was read, one reading a board; None where outcomes were named."""
    if any(one.reading.outcome is not None for one in boards) or not boards:
        return None
    ends = [_ends(measurement, one) for one in boards]
    low = min(low - one.limit for (low, _), one in zip(ends, boards, strict=True))
    high = max(high + one.limit for (_, high), one in zip(ends, boards, strict=True))
    least = measurement.function.least
    middles = [(low + high) / 2 for low, high in ends if math.isfinite(high)]
    spread = max(middles) - min(middles) if len(boards) > 1 and middles else None
    return Range(max(low, least), high, spread, max(one.limit for one in boards))


def with_others(measurement: Measurement, walked: Range) -> tuple[float, float]:
    """The range with room for boards that were not walked. The next good board falls outside the ends of n
    others with probability 2 / (n + 1), so that the ends of one or two are no healthy range."""
    share = OTHERS.get(measurement.mode, _OTHERS) / 100
    low = walked.low - share * abs(walked.low)
    high = walked.high + share * abs(walked.high) if math.isfinite(walked.high) else walked.high
    return max(low, measurement.function.least), high


def _ends(measurement: Measurement, one: Shown) -> tuple[float, float]:
    """The ends of a reading: over range lies beyond the meter's largest."""
    if one.reading.value is None:
        return largest_reading(ranges_of(measurement, one.meter)), math.inf
    return one.reading.span or (one.reading.value, one.reading.value)


def judge(measurement: Measurement, one: Shown) -> tuple[Verdict, float]:
    """How a reading stands beside the healthy outcomes, and how far it is off, with its sign; in base units.

    `edge`: it lies outside, but by no more than the meter's accuracy limit.
    """
    normal = [measurement.outcomes[name] for name in measurement.normal]
    if one.reading.outcome is not None:
        return ("agrees", 0.0) if one.reading.outcome in measurement.normal else ("differs", math.inf)
    low, high = _ends(measurement, one)
    offs = []
    for outcome in normal:
        if outcome.range is None:
            continue
        if math.isinf(high):
            offs.append(0.0 if math.isinf(outcome.range.high) or outcome.range.low >= low else math.inf)
        elif high > outcome.range.high:
            offs.append(high - outcome.range.high)
        else:
            offs.append(min(low - outcome.range.low, 0.0))
    off = min(offs, key=abs, default=math.inf)
    if off == 0:
        return "agrees", 0.0
    return ("edge" if abs(off) <= one.limit else "differs"), off
