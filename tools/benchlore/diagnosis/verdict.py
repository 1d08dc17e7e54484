"""What one reading says by itself: which outcome it is, and whether the meter can tell."""

from __future__ import annotations

from dataclasses import dataclass
from math import fsum
from typing import Literal

from benchlore.book.model import Measurement, Meter
from benchlore.diagnosis.likelihood import Scale, class_of, outcome_weights
from benchlore.diagnosis.meter import range_for, ranges_of, standard_uncertainty
from benchlore.diagnosis.reading import Reading
from benchlore.quantity import format_value

DECIDED = 0.95  # probability from which an outcome counts as decided
FAR = 3.0  # standard uncertainties from the nearest outcome at which a reading fits none


@dataclass(frozen=True, slots=True)
class Verdict:
    """A reading by itself.

    `uncertainty`: standard uncertainty in the base unit (None where there is no value). `outcomes`:
    probability of each outcome, all equally likely beforehand; they sum to one, or are all zero when the
    reading fits none. `outcome`: the one it is taken for. `kind`: decided when that one is almost certain;
    beside a wide outcome a narrow one may be likelier further off, and then nothing is decided. `says`: the
    same in a sentence."""

    reading: Reading
    uncertainty: float | None
    outcomes: tuple[tuple[str, float], ...]
    outcome: str
    kind: Literal["decided", "undecided", "outside"]
    says: str


def verdict(measurement: Measurement, meter: Meter, scale: Scale, reading: Reading) -> Verdict:
    """What a reading says by itself, with this meter."""
    taken = scale.bands[class_of(scale, reading)].outcome
    u = _uncertainty(scale, reading)
    shares = _shares(scale, reading)
    outcomes = tuple((band.outcome, share) for band, share in zip(scale.bands, shares, strict=True))
    if not any(shares):
        says = (
            f"{_shown(measurement, reading)} fits no outcome; check the point, the bench state and the leads"
        )
        return Verdict(reading, u, outcomes, taken, "outside", says)
    ranked = sorted(outcomes, key=lambda item: -item[1])
    best, share = ranked[0]
    if best == taken and (share >= DECIDED or len(ranked) < 2):
        says = f"{_shown(measurement, reading)} is {best}: {measurement.outcomes[best].means}"
        return Verdict(reading, u, outcomes, best, "decided", says)
    other = taken if best != taken else ranked[1][0]
    if _beside(scale, reading, u):
        says = f"{_shown(measurement, reading)} {_between(scale, reading, best, other)}; it may be either"
        return Verdict(reading, u, outcomes, taken, "undecided", says)
    return Verdict(
        reading,
        u,
        outcomes,
        taken,
        "undecided",
        f"{_shown(measurement, reading)} {_between(scale, reading, best, other)}; "
        f"with {_accuracy(meter, measurement, reading)} either is possible; use a better meter",
    )


def possible(scale: Scale, reading: Reading) -> tuple[str, ...]:
    """The outcomes that a reading may be: all that leave it undecided; none where it fits none."""
    shares = zip(scale.bands, _shares(scale, reading), strict=True)
    return tuple(band.outcome for band, share in shares if share > 1 - DECIDED)


def _shares(scale: Scale, reading: Reading) -> tuple[float, ...]:
    """The probability of each outcome, all equally likely beforehand; zero where the reading fits none."""
    weights, _ = outcome_weights(scale, reading)
    total = fsum(weights)
    if not total or _far(scale, reading, _uncertainty(scale, reading)):
        return (0.0,) * len(weights)
    return tuple(w / total for w in weights)


def _uncertainty(scale: Scale, reading: Reading) -> float | None:
    return standard_uncertainty(scale.ranges, reading.value) if reading.value is not None else None


def _far(scale: Scale, reading: Reading, u: float | None) -> bool:
    """True when a value lies more than FAR standard uncertainties outside all outcomes, not between two."""
    if reading.value is None or u is None:
        return False
    low, high = reading.span or (reading.value, reading.value)
    read = [b for b in scale.bands if b.read]
    return all(high < b.low - FAR * u for b in read) or all(low > b.high + FAR * u for b in read)


def _beside(scale: Scale, reading: Reading, u: float | None) -> bool:
    """True when a value lies more than FAR standard uncertainties outside every outcome."""
    if reading.value is None or u is None:
        return False
    low, high = reading.span or (reading.value, reading.value)
    return all(not b.read or high < b.low - FAR * u or low > b.high + FAR * u for b in scale.bands)


def _shown(measurement: Measurement, reading: Reading) -> str:
    unit = measurement.unit or ""
    if reading.span is not None:
        low, high = (format_value(end, unit) for end in reading.span)
        return f"{low} to {high}, unsteady,"
    if reading.value is not None:
        return format_value(reading.value, unit)
    return reading.outcome or "over-range"


def _between(scale: Scale, reading: Reading, one: str, other: str) -> str:
    bands = {band.outcome: band for band in scale.bands}
    low, high = sorted((bands[one], bands[other]), key=lambda band: band.floor)
    x = reading.value
    if x is not None and low.high <= x <= high.low:
        return f"lies between {low.outcome} and {high.outcome}"
    return f"may be {one} or {other}"


def _accuracy(meter: Meter, measurement: Measurement, reading: Reading) -> str:
    if reading.value is None:
        return "an over-range reading"
    chosen = range_for(ranges_of(measurement, meter), reading.value)
    return f"{chosen.reading:g} % + {chosen.counts} counts"
