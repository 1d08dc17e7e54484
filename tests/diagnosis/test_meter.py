"""A meter's own uncertainty, by hand: percent of the reading and counts, never less than the last digit."""

from __future__ import annotations

import math

import pytest

from benchlore.book.model import MeterRange
from benchlore.diagnosis.meter import (
    accuracy_limit,
    compared,
    conformance,
    largest_reading,
    normal_between,
    range_for,
    rectangular,
    standard_uncertainty,
)
from benchlore.quantity import parse_quantity


def made(up_to: str, resolution: str, reading: float = 0.5, counts: int = 3) -> MeterRange:
    return MeterRange(
        up_to=parse_quantity(up_to), resolution=parse_quantity(resolution), reading=reading, counts=counts
    )


RANGES = (made("2 V", "1 mV"), made("20 V", "10 mV"), made("200 V", "100 mV"))


@pytest.mark.parametrize(
    ("value", "place"), [(0.0, 0), (2.0, 0), (-2.0, 0), (2.001, 1), (-20.0, 1), (20.5, 2), (999.0, 2)]
)
def test_the_smallest_range_that_shows_a_value(value: float, place: int) -> None:
    assert range_for(RANGES, value) is RANGES[place]


def test_limits_and_uncertainty_by_hand() -> None:
    assert largest_reading(RANGES) == 200.0
    assert accuracy_limit(RANGES[1], 8.0) == pytest.approx(0.005 * 8 + 3 * 0.01)
    assert accuracy_limit(RANGES[1], -8.0) == accuracy_limit(RANGES[1], 8.0)
    assert rectangular(0.3) == pytest.approx(0.3 / math.sqrt(3))
    assert standard_uncertainty(RANGES, 8.0) == pytest.approx(0.07 / math.sqrt(3))


def test_never_less_than_the_last_digit() -> None:
    """Half a digit either way, rectangular: d / sqrt(12) (JCGM 100:2008 F.2.2.1)."""
    exact = (made("2 V", "1 mV", 0.0, 0),)
    assert standard_uncertainty(exact, 1.0) == pytest.approx(1e-3 / math.sqrt(12))
    assert standard_uncertainty((made("2 V", "0 V", 0.0, 0),), 1.0) == pytest.approx(1e-15)


@pytest.mark.parametrize(
    ("low", "high", "share"),
    [
        (-1.0, 1.0, 0.682689492137),
        (0.0, math.inf, 0.5),
        (-math.inf, 0.0, 0.5),
        (1.0, 2.0, 0.135905121983),
        (-2.0, -1.0, 0.135905121983),
        (5.0, 6.0, 2.856649842e-07),
        (-6.0, -5.0, 2.856649842e-07),
    ],
)
def test_the_normal_between_two_ends_by_tables(low: float, high: float, share: float) -> None:
    """Abramowitz and Stegun, Handbook of Mathematical Functions (1964), table 26.1 (from memory)."""
    assert normal_between(low, high) == pytest.approx(share, rel=1e-9)
    assert conformance(3.0, 0.5, 3 + 0.5 * low, 3 + 0.5 * high) == pytest.approx(share, rel=1e-9)


def test_the_counts_of_a_comparison_by_hand() -> None:
    """At full scale 3 counts of 10 mV are 0.15 % of 20 V: twice that, root 2 for two readings, is 0.42 %."""
    (found,) = compared((made("20 V", "10 mV"), made("200 V", "1 V")))
    assert (found.resolution.text, found.reading, found.counts) == ("0.1 %", 0.0, 5)
    assert compared(()) == ()
