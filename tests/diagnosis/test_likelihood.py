"""How a meter confuses outcomes, checked by numerical integration and by drawing readings."""

import math
import random
from itertools import pairwise

import pytest

from benchlore.diagnosis.likelihood import (
    EDGE,
    Scale,
    band_density,
    class_of,
    class_table,
    meaningless_classes,
    outcome_weights,
    scale_of,
)
from benchlore.diagnosis.meter import standard_uncertainty
from benchlore.diagnosis.reading import Reading
from benchlore.diagnosis.verdict import verdict
from tests.books import example
from tests.diagnosis.cases import case
from tests.parts import Library

integrate = Library("scipy.integrate")
stats = Library("scipy.stats")

MEASURES = [(f, m) for f in example().families for m, s in case(f).scales.items() if s.order]


def scale(name: str, meter: str = "hand-held-3-half") -> Scale:
    return scale_of(example().families["siskin-12"].measurements[name], example().meters[meter])


@pytest.mark.parametrize(("family", "measure"), MEASURES)
def test_rows_of_the_confusion_are_probabilities(family, measure):
    found = case(family).scales[measure]
    table = class_table(found)
    for row in [*table, meaningless_classes(found, table)]:
        assert sum(row) == pytest.approx(1, abs=1e-9)
        assert all(-1e-12 <= p <= 1 + 1e-12 for p in row)


def test_confusion_is_what_readings_drawn_at_random_show():
    found = scale("main-rail-adapter")
    index = next(i for i, b in enumerate(found.bands) if b.outcome == "default")
    band, chance, count = found.bands[index], random.Random(8), 40_000
    taken = [0] * found.size
    for _ in range(count):
        true, side = chance.uniform(band.floor, band.ceiling), chance.random()
        if side < EDGE:  # beside the band, falling to its neighbour
            true = chance.triangular(band.ceiling, band.ceiling + band.beyond, band.ceiling)
        elif side < 2 * EDGE:
            true = chance.triangular(band.floor - band.under, band.floor, band.floor)
        value = chance.gauss(true, standard_uncertainty(found.ranges, true))
        taken[class_of(found, Reading("m", "", value))] += 1
    for drawn, p in zip(taken, class_table(found)[index], strict=True):
        assert drawn / count == pytest.approx(p, abs=4 * math.sqrt(p * (1 - p) / count) + 2e-3)


def test_better_meter_confuses_less():
    def right(meter: str) -> float:
        table = class_table(scale("main-rail-adapter", meter))
        return min(table[i][i] for i in range(len(table)))

    assert right("hand-held-3-half") < right("hand-held-4-half") <= right("bench-5-half") + 1e-12


def test_density_integrates_to_one():
    found = scale("main-rail-adapter")
    band = next(b for b in found.bands if b.outcome == "default")
    ends = (band.floor - band.under, band.floor, band.ceiling, band.ceiling + band.beyond)
    whole, _ = integrate.quad(
        lambda x: band_density(band, x, 0.03), ends[0] - 1, ends[3] + 1, points=ends, limit=200
    )
    assert whole == pytest.approx(1, abs=1e-7)


@pytest.mark.parametrize("meter", ["hand-held-3-half", "hand-held-4-half", "bench-5-half"])
def test_the_space_between_two_outcomes_belongs_to_both_falling_from_one_to_the_other(meter):
    """More digits never tell less: between two outcomes a reading fits, with any meter."""
    found, tried = scale("main-rail-adapter", meter), 0
    measured, book = example().families["siskin-12"].measurements["main-rail-adapter"], example()
    for i, j in pairwise(found.order):
        lower, upper = found.bands[i], found.bands[j]
        gap = upper.floor - lower.ceiling
        assert lower.beyond == upper.under == pytest.approx(gap)
        shares = []
        for part in (0.2, 0.4, 0.6, 0.8):
            reading = Reading(measured.id, "", lower.ceiling + part * gap)
            said = verdict(measured, book.meters[meter], found, reading)
            assert said.kind != "outside"
            shares.append(dict(said.outcomes)[lower.outcome])
            tried += 1
        assert shares == sorted(shares, reverse=True)
        assert shares[0] > 0.5 > shares[-1]
    assert tried > 8


def test_open_end_belongs_to_the_outcome_beyond_where_it_is_closed():
    found = scale("main-rail-adapter")
    beyond = Reading("m", "", found.highest * 1.5)
    weights, nothing = outcome_weights(found, beyond)
    best = max(range(found.size), key=lambda i: weights[i])
    assert math.isinf(found.bands[best].high)
    assert weights[best] > nothing


def test_oracle_of_the_normal():
    """scipy.stats.norm for a band of no width: the meter's own error about the value."""
    found = scale("main-rail-adapter")
    band = next(b for b in found.bands if b.outcome == "default")
    point = type(band)("x", 8.0, 8.0, 8.0, 8.0, 0.0, True)
    assert band_density(point, 8.03, 0.04) == pytest.approx(stats.norm.pdf(8.03, 8.0, 0.04))


@pytest.mark.parametrize("name", ["main-rail-adapter", "main-rail-ohms"])
def test_a_reading_that_means_nothing_lies_where_readings_drawn_at_random_lie(name):
    """Nine of ten are like an outcome's, each as often; one lies anywhere, a tenth of these over-range."""
    found = scale(name)
    table, chance, count = class_table(found), random.Random(21), 40_000
    taken = [0] * found.size
    for _ in range(count):
        if chance.random() < 0.9:
            row = table[chance.randrange(found.size)]
            place = chance.choices(range(found.size), row)[0]
        elif chance.random() < 0.1:
            place = class_of(found, Reading("m", ""))
        else:
            place = class_of(found, Reading("m", "", chance.uniform(found.lowest, found.highest)))
        taken[place] += 1
    for drawn, p in zip(taken, meaningless_classes(found, table), strict=True):
        assert drawn / count == pytest.approx(p, abs=4 * math.sqrt(p * (1 - p) / count))


def test_where_the_meter_has_no_range_a_meaningless_reading_is_any_outcome():
    look = next(m for m in example().families["siskin-12"].measurements.values() if m.unit is None)
    found = scale_of(look, example().meters["hand-held-3-half"])
    table = class_table(found)
    mean = [math.fsum(row[j] for row in table) / found.size for j in range(found.size)]
    assert meaningless_classes(found, table) == pytest.approx(mean, abs=1e-12)
