"""The uncertainty of a reading, against the GUM (JCGM 100:2008) and meter makers' accuracy notes."""

import math

import pytest

from benchlore.book.model import MeterRange
from benchlore.diagnosis.meter import accuracy_limit, range_for, rectangular, standard_uncertainty
from benchlore.quantity import parse_quantity
from tests.parts import Library

stats = Library("scipy.stats")


def span(up_to: str, resolution: str, percent: float, counts: int) -> MeterRange:
    return MeterRange(
        up_to=parse_quantity(up_to), resolution=parse_quantity(resolution), reading=percent, counts=counts
    )


def test_e1_end_gauge():
    """JCGM 100:2008 H.1 (second-hand, computed): uc 31.71 nm, printed 32; 16.66 effective degrees of freedom;
    t99(16) 2.921; U99 92.62 nm, printed 93."""
    difference_of_expansion = round(rectangular(1.0), 2) * 1e-6  # printed 0.58e-6 per degree
    difference_of_temperature = round(rectangular(0.05), 3)  # printed 0.029 degrees
    length, expansion, temperature = 50e6, 11.5e-6, 0.1  # nm, per degree, degrees
    standard, comparison = (25.0, 18), (9.7, 25.6)
    parts = [
        standard,
        comparison,
        (length * temperature * difference_of_expansion, 50),
        (length * expansion * difference_of_temperature, 2),
    ]
    combined = math.hypot(*(u for u, _ in parts))
    freedom = combined**4 / sum(u**4 / degrees for u, degrees in parts)
    t99 = stats.t.ppf(0.995, math.floor(freedom))
    assert combined == pytest.approx(31.71, abs=0.005)
    assert freedom == pytest.approx(16.66, abs=0.01)
    assert t99 == pytest.approx(2.921, abs=5e-4)
    assert t99 * combined == pytest.approx(92.62, abs=0.02)


def test_e3_rectangular_type_b():
    """JCGM 100:2008 4.3.7 (text from memory, computed): 14e-6 of reading + 2e-6 of the 1 V range at
    0.928571 V: a = 15.0 uV, u = 8.66 uV."""
    bench = span("1 V", "1 uV", 14e-4, 2)
    assert accuracy_limit(bench, 0.928571) == pytest.approx(15.0e-6, abs=5e-9)
    assert standard_uncertainty([bench], 0.928571) == pytest.approx(8.66e-6, abs=5e-9)


@pytest.mark.parametrize(
    ("chosen", "value", "limit"),
    [(span("2 V", "1 mV", 0.08, 2), 2.0, 0.0036), (span("200 V", "100 mV", 0.8, 2), 100.0, 1.0)],
)
def test_e4_accuracy_of_a_reading(chosen, value, limit):
    """Makers' accuracy notes for 4 1/2 and 3 1/2 digit meters (seen): 0.08 % + 2 counts at 2.000 V is
    0.0036 V; 0.8 % + 2 counts at 100.0 V is 1.0 V."""
    assert accuracy_limit(chosen, value) == pytest.approx(limit)


def test_e5_accuracy_to_standard_uncertainty():
    """Fluke Calibration, 2011, p. 41 (seen): the specification over sqrt(3) where nothing is known of its
    distribution; with e4, u = 0.577 V."""
    assert standard_uncertainty([span("200 V", "100 mV", 0.8, 2)], 100.0) == pytest.approx(0.577, abs=5e-4)


def test_reading_takes_the_smallest_range_that_shows_it():
    """Common practice, no source."""
    ranges = [span("2 V", "1 mV", 0.5, 3), span("20 V", "10 mV", 0.5, 3)]
    assert range_for(ranges, 1.9) is ranges[0]
    assert range_for(ranges, -2.1) is ranges[1]
    assert range_for(ranges, 99.0) is ranges[1]
