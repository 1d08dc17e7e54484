"""What a reading says about limits, against JCGM 106:2012, with scipy as oracle for the convolutions."""

import math
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from benchlore.book.model import MeterRange
from benchlore.diagnosis.likelihood import Band, band_density
from benchlore.diagnosis.meter import conformance, normal_between
from benchlore.quantity import parse_quantity
from tests.parts import Library

integrate = Library("scipy.integrate")
optimize = Library("scipy.optimize")
stats = Library("scipy.stats")

LIMIT, U = 2.0, 0.25


@cache
def _process() -> Any:
    return stats.gamma(4, scale=0.25)  # mean 1


def accepted(value: float, acceptance: float) -> float:
    """P(the reading is at most the acceptance limit | the true value)."""
    return normal_between(-math.inf, (acceptance - value) / U)


def consumers_risk(acceptance: float) -> float:
    return float(integrate.quad(lambda y: _process().pdf(y) * accepted(y, acceptance), LIMIT, 12)[0])


def producers_risk(acceptance: float) -> float:
    return float(integrate.quad(lambda y: _process().pdf(y) * (1 - accepted(y, acceptance)), 0, LIMIT)[0])


@pytest.mark.slow
def test_e6_conformity_of_a_process():
    """JCGM 106:2012 9.5.4 (second-hand, computed): Gamma(4) with mean 1, upper limit 2, u = 0.25."""
    assert _process().sf(LIMIT) == pytest.approx(0.04238, abs=5e-6)
    assert consumers_risk(LIMIT) == pytest.approx(0.00802, abs=5e-6)
    assert producers_risk(LIMIT) == pytest.approx(0.01744, abs=5e-6)
    guarded = optimize.brentq(lambda a: consumers_risk(a) - 0.001, 1.0, 2.0)
    assert guarded == pytest.approx(1.6718, abs=5e-5)


@pytest.mark.parametrize(
    ("value", "u", "low", "high", "probability"),
    [
        (-5.47, 0.05, -math.inf, -5.40, 0.9192),
        (509.7, 8.6, 490.0, math.inf, 0.9890),
        (13.6, 1.8, 12.5, 16.3, 0.6626),
    ],
)
def test_e7_conformance_probability(value, u, low, high, probability):
    """JCGM 106:2012 clause 7 (inputs from memory, computed)."""
    assert conformance(value, u, low, high) == pytest.approx(probability, abs=5e-5)
    assert conformance(value, u, low, high) == pytest.approx(
        stats.norm.cdf(high, value, u) - stats.norm.cdf(low, value, u)
    )


@pytest.mark.parametrize(
    ("share", "quantile"), [(0.80, 0.8416), (0.90, 1.2816), (0.95, 1.6449), (0.99, 2.3263), (0.999, 3.0902)]
)
def test_e8_normal_quantiles(share, quantile):
    """JCGM 106:2012 table 1 (computed)."""
    found = optimize.brentq(lambda z: normal_between(-math.inf, z) - share, 0, 5)
    assert found == pytest.approx(quantile, abs=5e-5)


@pytest.mark.parametrize("z", [-38.0, -8.0, -3.0, -0.1, 0.0, 0.4, 2.0, 7.5, 37.0])
@pytest.mark.parametrize("width", [1e-3, 0.5, 4.0, math.inf])
def test_normal_probability_far_out(z, width):
    """scipy.stats.norm, which keeps full relative precision in both tails."""
    high = z + width
    oracle = stats.norm.cdf(high) - stats.norm.cdf(z) if z < 0 else stats.norm.sf(z) - stats.norm.sf(high)
    assert normal_between(z, high) == pytest.approx(oracle, rel=1e-11, abs=1e-300)


@pytest.mark.parametrize(
    ("low", "high", "value", "u"),
    [
        (8.35, 8.45, 8.41, 0.041),
        (8.35, 8.45, 8.30, 0.041),
        (8.10, 8.25, 8.30, 0.041),
        (0.42, 0.52, 0.514, 0.004),
        (0.0, 0.05, 0.007, 0.0018),
        (3.0, 3.1, 2.0, 0.02),
    ],
)
def test_band_blurred_by_the_meter(low, high, value, u):
    """A reading of a value that lies evenly in a band: the convolution of a rectangle with the meter's normal
    error (JCGM 106:2012 A.4.3), integrated by scipy."""
    band = Band("normal", low, high, low, high, 0.0, True)
    oracle, _ = integrate.quad(
        lambda true: stats.norm.pdf(value, true, u) / (high - low),
        low,
        high,
        epsabs=0,
        epsrel=1e-12,
        limit=200,
    )
    assert band_density(band, value, u) == pytest.approx(oracle, rel=1e-9, abs=1e-300)


def test_band_that_is_also_over_range_keeps_its_share():
    band = Band("open", 1e6, 2e6, 1e6, 2e6, 0.0, True)
    assert band_density(replace(band, over=0.5), 1.5e6, 1e3) == pytest.approx(
        band_density(band, 1.5e6, 1e3) / 2
    )


def test_three_and_a_half_digits_at_the_charger():
    """Common practice, no source: 0.5 % + 3 counts of 10 mV at 8.30 V are 0.07 V."""
    chosen = MeterRange(
        up_to=parse_quantity("20 V"), resolution=parse_quantity("10 mV"), reading=0.5, counts=3
    )
    assert 8.30 * chosen.reading / 100 + chosen.counts * chosen.resolution.middle == pytest.approx(0.0715)
