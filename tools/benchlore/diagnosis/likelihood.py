"""How likely a reading is under each outcome of a measurement, for one meter.

A `Scale` is a measurement seen through a meter. Its bands are the outcomes; an open end of `under 1 V` or
`over 1 Mohm` is closed for normalising only, so that a reading beyond still belongs to the outcome as
written."""

from __future__ import annotations

import itertools
import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace

from benchlore.book.model import Measurement, Meter, MeterRange, Outcome
from benchlore.diagnosis.meter import (
    conformance,
    largest_reading,
    normal_between,
    range_for,
    ranges_of,
    standard_uncertainty,
)
from benchlore.diagnosis.reading import Reading

BLUNDER = 0.02  # share of readings that say nothing about the fault: wrong point, wrong state, misread
ANYWHERE = 0.1  # share of meaningless readings that lie anywhere, not in one of the outcomes
# Share of the readings of a board with something else at fault that are healthy: most of a board works,
# whatever is wrong with it. Common practice, no source; a lower figure gives up later.
HEALTHY = 0.7
# Not every such board is healthy alike: on some next to everything reads healthy, on others much is wrong.
# The shares of the two and of their readings that are healthy; on the whole, HEALTHY. Common practice, no
# source.
ELSEWHERE = ((2 / 3, 0.9), (1 / 3, 0.3))
# Of what something else reads abnormally, the share where a look shows a part itself: it is not that part's.
# Common practice, no source.
NOT_THE_PART = 0.4
OVER_RANGE = 0.1  # share of the readings that lie anywhere which are over-range
_OPEN_SHARE_UNPOWERED = 0.5  # `over 1 Mohm` includes the open circuit
_OPEN_SHARE_POWERED = 0.05
PLACES = 16  # values that stand for an unsteady reading
EDGE = 0.025  # share of an outcome's readings that lie between it and a neighbour. Common practice, no source
_SQRT_2PI = math.sqrt(2 * math.pi)


@dataclass(frozen=True, slots=True)
class Band:
    """One outcome on the scale, in base units.

    `low`, `high`: as written, an open end infinite; `under b` is from -b to b, since swapped leads show no
    more than that. `floor`, `ceiling`: the same, closed. `over`: the share of its readings that a meter
    shows as over-range. `read`: False for an outcome that is named or open,
    never a number. `under`, `beyond`: how far it is to the next band below and above; 0 where they touch."""

    outcome: str
    low: float
    high: float
    floor: float
    ceiling: float
    over: float
    read: bool
    under: float = 0.0
    beyond: float = 0.0

    @property
    def inside(self) -> float:
        """The share of its readings within its ends."""
        return 1 - EDGE * ((self.under > 0) + (self.beyond > 0))


@dataclass(frozen=True, slots=True)
class Scale:
    """A measurement on a meter.

    `ranges`: of the meter in this mode, empty when the outcome can only be named. `anywhere`: density of a
    reading that lies anywhere (1 / span, per base unit). `order`: bands that are read, in rising order;
    `cuts`: the values that part them, one fewer; `over_class`: the band that an over-range reading belongs
    to. `normal`: the bands that are healthy. `over_range`: the share of the readings that lie anywhere which
    are over-range; none of a comparison, whose halves alone can be."""

    measure: str
    unit: str | None
    bands: tuple[Band, ...]
    ranges: tuple[MeterRange, ...]
    anywhere: float
    lowest: float
    highest: float
    order: tuple[int, ...]
    cuts: tuple[float, ...]
    over_class: int
    normal: tuple[int, ...] = ()
    over_range: float = OVER_RANGE
    stray: float = 1.0

    @property
    def size(self) -> int:
        """Number of outcomes."""
        return len(self.bands)


def scale_of(measurement: Measurement, meter: Meter) -> Scale:
    """The scale of a measurement on a meter; without ranges where the meter lacks that mode."""
    outcomes = tuple(measurement.outcomes.values())
    normal = tuple(i for i, o in enumerate(outcomes) if o.normal)
    ranges = ranges_of(measurement, meter)
    if not ranges:
        named = tuple(Band(o.id, 0.0, 0.0, 0.0, 0.0, 0.0, False) for o in outcomes)
        return Scale(measurement.id, measurement.unit, named, (), 0.0, 0.0, 0.0, (), (), 0, normal)
    least, most = measurement.limits
    top = min(_top(outcomes, ranges), most)
    lowest = max(-top, least)
    limit = largest_reading(ranges)
    share = _open_share(measurement)
    bands = tuple(_band(o, least, top, limit, share) for o in outcomes)
    order = tuple(
        sorted(
            (i for i, b in enumerate(bands) if b.read), key=lambda i: (bands[i].floor, bands[i].ceiling, i)
        )
    )
    cuts = tuple(_cut(bands[i], bands[j]) for i, j in itertools.pairwise(order))
    bands = _beside_each_other(bands, order)
    over_class = max(range(len(bands)), key=lambda i: (bands[i].over, bands[i].ceiling, -i))
    return Scale(
        measurement.id,
        measurement.unit,
        bands,
        ranges,
        1 / (top - lowest),
        lowest,
        top,
        order,
        cuts,
        over_class,
        normal,
        0.0 if measurement.compare else OVER_RANGE,
    )


def _open_share(measurement: Measurement) -> float:
    """The share of an outcome `over a` that reads over-range; none where `open` is an outcome of its own, and
    none of a comparison: what is over the range in one half is read as the outcome that it means."""
    ranges = (o.range for o in measurement.outcomes.values())
    if measurement.compare or any(r is not None and r.is_open for r in ranges):
        return 0.0
    return _OPEN_SHARE_UNPOWERED if measurement.function.power == "off" else _OPEN_SHARE_POWERED


def _top(outcomes: tuple[Outcome, ...], ranges: tuple[MeterRange, ...]) -> float:
    """The end of the smallest range that shows every finite end of the outcomes: the range to set for it."""
    ends = [
        abs(end)
        for o in outcomes
        if o.range is not None
        for end in (o.range.low, o.range.high)
        if math.isfinite(end)
    ]
    return range_for(ranges, max(ends, default=0.0)).up_to.middle


def _band(outcome: Outcome, least: float, top: float, limit: float, share: float) -> Band:
    stated = outcome.range
    if stated is None:
        return Band(outcome.id, 0.0, 0.0, 0.0, 0.0, 0.0, False)
    low, high = stated.low, stated.high
    if stated.is_open or low >= limit:
        return Band(outcome.id, low, high, limit, limit, 1.0, False)
    if math.isinf(high):
        return Band(outcome.id, low, high, low, top if top > low else (low + limit) / 2, share, True)
    if math.isinf(low):
        if high > 0:
            return Band(outcome.id, -high, high, 0.0, high, 0.0, True)
        floor = max(high - top, least) if least < high else high - top
        return Band(outcome.id, low, high, floor, high, 0.0, True)
    over = (high - limit) / (high - low) if high > limit else 0.0
    return Band(outcome.id, low, high, low, high, over, True)


def _beside_each_other(bands: tuple[Band, ...], order: tuple[int, ...]) -> tuple[Band, ...]:
    """The bands with the space to their neighbours: it belongs to both."""
    found = list(bands)
    for i, j in itertools.pairwise(order):
        gap = max(bands[j].floor - bands[i].ceiling, 0.0)
        found[i] = replace(found[i], beyond=gap)
        found[j] = replace(found[j], under=gap)
    return tuple(found)


def _cut(lower: Band, upper: Band) -> float:
    """The middle of the gap between two neighbouring bands."""
    return (lower.ceiling + upper.floor) / 2


def band_density(band: Band, value: float, u: float) -> float:
    """p(value | outcome), per base unit: uniform over the band, plus the meter's normal error; and a share
    that falls from its ends to nothing at the next band.

    [Phi((high - x)/u) - Phi((low - x)/u)] / (ceiling - floor); a band without width is a normal density.
    The convolution of a rectangle and a normal: JCGM 106:2012 A.4.3 (measurement model), integrated.
    Between two bands EDGE 2 (1 - d/gap)/gap, with d from this one: a hole is wide beside the meter's error.
    """
    if not band.read:
        return 0.0
    share = 1 - band.over
    width = band.ceiling - band.floor
    if width <= 0:
        z = (value - band.floor) / u
        own = math.exp(-z * z / 2) / (u * _SQRT_2PI)
    else:
        own = conformance(value, u, band.low, band.high) / width
    beside = _falling(value - band.ceiling, band.beyond) + _falling(band.floor - value, band.under)
    return share * (band.inside * own + EDGE * beside)


def _falling(distance: float, gap: float) -> float:
    return 2 * (1 - distance / gap) / gap if 0 < distance < gap else 0.0


def outcome_weights(scale: Scale, reading: Reading) -> tuple[tuple[float, ...], float]:
    """p(reading | outcome) for each outcome of the scale, and p(reading) when it means nothing.

    For a value both are densities per base unit, for an unsteady one their mean over its span; for over-range
    and for a named outcome, probabilities. The
    second is (1 - ANYWHERE) x the mean over the outcomes + ANYWHERE x anywhere on the meter; it is never
    zero."""
    count = scale.size
    if reading.outcome is not None:
        return tuple(1.0 if b.outcome == reading.outcome else 0.0 for b in scale.bands), 1 / count
    if reading.value is None:
        weights = tuple(b.over for b in scale.bands)
        anywhere = OVER_RANGE
    else:
        places = [reading.value] if reading.span is None else _along(*reading.span)
        shown = [(x, reading.u or standard_uncertainty(scale.ranges, x)) for x in places]
        weights = tuple(
            [math.fsum([band_density(b, x, u) for x, u in shown]) / len(shown) for b in scale.bands]
        )
        anywhere = (1 - scale.over_range) * scale.anywhere
    return weights, (1 - ANYWHERE) * (math.fsum(weights) / count) + ANYWHERE * anywhere


def elsewhere(scale: Scale, of_outcome: Sequence[float], nothing: float, share: float = HEALTHY) -> float:
    """What a board with something else at fault makes of a reading, or of a class: `share` x the mean over
    the healthy outcomes + (1 - `share`) x what means nothing; where a look shows a part itself, NOT_THE_PART
    of the latter, and the rest is healthy.

    `of_outcome`: for each outcome of the scale; `nothing`: of a reading that means nothing."""
    if not scale.normal:
        return nothing
    healthy = math.fsum([of_outcome[i] for i in scale.normal]) / len(scale.normal)
    amiss = (1 - share) * scale.stray
    return (1 - amiss) * healthy + amiss * nothing


def elsewhere_by_way(scale: Scale, of_outcome: Sequence[float], nothing: float) -> list[float]:
    """`elsewhere` for each way of something else, in the order of ELSEWHERE."""
    return [elsewhere(scale, of_outcome, nothing, healthy) for _, healthy in ELSEWHERE]


def _along(low: float, high: float) -> list[float]:
    """Places spread evenly between two ends, which stand for an unsteady reading."""
    return [low + (high - low) * (n + 0.5) / PLACES for n in range(PLACES)]


def class_of(scale: Scale, reading: Reading) -> int:
    """Index of the outcome that a reading is taken for: the one that holds it, else the nearest."""
    if reading.outcome is not None:
        return next(i for i, b in enumerate(scale.bands) if b.outcome == reading.outcome)
    if reading.value is None or not scale.order:
        return scale.over_class
    return scale.order[bisect_right(scale.cuts, reading.value)]


def class_table(scale: Scale) -> tuple[tuple[float, ...], ...]:
    """P(taken for outcome j | true outcome i) with this meter, as [i][j]; rows sum to one.

    For a cut t: P(x < t) = u/(b - a) [g((t - a)/u) - g((t - b)/u)], g(z) = z Phi(z) + phi(z), the integral of
    the normal distribution function over the band; u is taken at the cut. Of what lies between two bands the
    meter's error is left out."""
    return tuple(_class_row(scale, i) for i in range(scale.size))


def _class_row(scale: Scale, index: int) -> tuple[float, ...]:
    band = scale.bands[index]
    row = [0.0] * scale.size
    if not band.read:
        row[scale.over_class if band.over > 0 else index] = 1.0
        return tuple(row)
    row[scale.over_class] += band.over
    below = 0.0
    for place, cut in zip(scale.order, (*scale.cuts, math.inf), strict=True):
        upto = 1.0 if math.isinf(cut) else _share_below(scale, band, cut)
        row[place] += (1 - band.over) * band.inside * (upto - below)
        below = upto
    at = scale.order.index(index)
    for gap, beside in ((band.under, at - 1), (band.beyond, at + 1)):
        if gap > 0:  # a quarter of what falls to nothing lies beyond the middle
            row[index] += (1 - band.over) * EDGE * 3 / 4
            row[scale.order[beside]] += (1 - band.over) * EDGE / 4
    return tuple(row)


def _share_below(scale: Scale, band: Band, cut: float) -> float:
    u = standard_uncertainty(scale.ranges, cut)
    width = band.ceiling - band.floor
    if width <= 0:
        return normal_between(-math.inf, (cut - band.floor) / u)
    share = u / width * (_integral((cut - band.floor) / u) - _integral((cut - band.ceiling) / u))
    return min(max(share, 0.0), 1.0)


def _integral(z: float) -> float:
    return z * normal_between(-math.inf, z) + math.exp(-z * z / 2) / _SQRT_2PI


def meaningless_classes(scale: Scale, table: tuple[tuple[float, ...], ...]) -> tuple[float, ...]:
    """P(taken for outcome j) of a reading that means nothing: the mean of the rows, and a share from
    anywhere.
    """
    count = scale.size
    mean = [math.fsum(row[j] for row in table) / count for j in range(count)]
    if not scale.ranges or not scale.order:
        return tuple(mean)
    anywhere = [0.0] * count
    anywhere[scale.over_class] += scale.over_range
    below = scale.lowest
    for place, cut in zip(scale.order, (*scale.cuts, scale.highest), strict=True):
        upto = min(max(cut, below), scale.highest)
        anywhere[place] += (1 - scale.over_range) * (upto - below) * scale.anywhere
        below = upto
    return tuple((1 - ANYWHERE) * m + ANYWHERE * a for m, a in zip(mean, anywhere, strict=True))
