"""What a prediction says of the outcomes of a measurement: the share of it that each of them takes."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise

from benchlore.book.model import Measurement
from benchlore.circuit.graph.predict import Prediction
from benchlore.circuit.interval import Interval

_ALL = Interval(-math.inf, math.inf)


def shares(measurement: Measurement, prediction: Prediction) -> Mapping[str, float] | None:
    """The share of each outcome, one in all; None where nothing is predicted or the outcomes have no ranges.

    A healthy reading is shared by the normal outcomes. A hole between two outcomes belongs half to each. All
    values of an interval are taken for equally likely, of resistances all magnitudes.
    """
    if prediction.healthy:
        return measurement.reads_healthy or None
    if prediction.reading is None:
        return None
    cells = _cells(measurement)
    if not cells:
        return None
    found = {name: _overlap(cell, prediction.reading, measurement.unit == "ohm") for name, cell in cells}
    total = math.fsum(found.values())
    if total > 0:
        return {name: share / total for name, share in found.items() if share > 0}
    middle = prediction.reading.middle
    return {next(name for name, cell in cells if middle <= cell.high): 1.0}  # the last has no end


def _cells(measurement: Measurement) -> list[tuple[str, Interval]]:
    """The outcomes in rising order, each out to the middle of the hole beside it."""
    ranges = sorted(
        ((o.range.low, o.range.high, o.id) for o in measurement.outcomes.values() if o.range),
        key=lambda r: r[:2],
    )
    if not ranges:
        return []
    ends = [(a[1] + b[0]) / 2 if math.isfinite(b[0]) else a[1] for a, b in pairwise(ranges)]
    edges = [-math.inf, *ends, math.inf]
    return [
        (name, Interval(min(low, high), max(low, high)))
        for (_, _, name), (low, high) in zip(ranges, pairwise(edges), strict=True)
    ]


def _overlap(cell: Interval, reading: Interval, logarithmic: bool) -> float:
    low, high = max(cell.low, reading.low), min(cell.high, reading.high)
    if low > high or reading.low == reading.high:
        return 0.0
    if math.isinf(reading.high):  # half of it beyond every range, and half below
        beyond = 0.5 if math.isinf(cell.high) else 0.0
        if reading.low == 0:
            return beyond
        # Up to ten times its low end; of a comparison from 100 % below, up to nine times the other.
        within = Interval(reading.low, max(10 * reading.low, -8 * reading.low))
        return beyond + 0.5 * _overlap(cell, within, logarithmic) / _overlap(_ALL, within, logarithmic)
    if logarithmic:
        floor = max(reading.low, reading.high * 1e-2)
        return math.log(max(high, floor) / max(low, floor))
    return high - low
