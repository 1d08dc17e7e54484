"""The shares of the outcomes that a prediction gives: one in all."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from benchlore.book.model import frozen_map
from benchlore.circuit.graph.outcomes import shares
from benchlore.circuit.graph.predict import Prediction
from benchlore.circuit.interval import Interval
from benchlore.quantity import parse_quantity
from tests.circuit.books import FAMILY, good

RAIL = good().families[FAMILY].measurements["main-rail"]
ONE = next(iter(RAIL.outcomes.values()))


def measuring(**outcomes: str):
    """A measurement with outcomes of these ranges; the first letter `n` makes one normal."""
    made = {
        name: replace(ONE, id=name, range=parse_quantity(text), normal=name.startswith("n"))
        for name, text in outcomes.items()
    }
    return replace(RAIL, outcomes=frozen_map(made))


THREE = measuring(low="0 to 1 V", normal="2 to 3 V", nearly="3 to 4 V", high="over 4 V")


def test_a_healthy_reading_is_shared_by_the_normal_outcomes():
    assert shares(THREE, Prediction(None, healthy=True)) == {"normal": 0.5, "nearly": 0.5}
    assert shares(measuring(low="0 to 1 V"), Prediction(None, healthy=True)) is None


def test_nothing_known_has_no_shares():
    assert shares(THREE, Prediction(None, healthy=False)) is None


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (0.0, 1.0, {"low": 1.0}),
        (1.0, 2.0, {"low": 0.5, "normal": 0.5}),  # the hole from 1 to 2 belongs half to each
        (1.4, 1.6, {"low": 0.5, "normal": 0.5}),
        (2.0, 4.0, {"normal": 0.5, "nearly": 0.5}),
        (3.0, 5.0, {"nearly": 0.5, "high": 0.5}),
        (1.5, 1.5, {"low": 1.0}),
        (5.0, 5.0, {"high": 1.0}),
    ],
)
def test_an_interval_is_shared_by_its_overlaps(low, high, expected):
    assert shares(THREE, Prediction(Interval(low, high), healthy=False)) == pytest.approx(expected)


OHMS = measuring(low="0 to 10 ohm", normal="90 to 110 ohm", high="over 1 kohm")


def test_ohms_are_shared_by_their_logarithm():
    """From 1 to 100 ohm: the hole between 10 and 90 parts at 50, so log 50 of log 100 is low."""
    ohms = replace(OHMS, mode="ohms")
    found = shares(ohms, Prediction(Interval(1.0, 100.0), healthy=False))
    assert found == pytest.approx({"low": math.log(50) / math.log(100), "normal": 1 - math.log(50, 100)})
    # What is beyond every range is half of it, the other half lies in the decade above its low end.
    found = shares(ohms, Prediction(Interval(555.0, math.inf), healthy=False))
    assert found == pytest.approx({"high": 1.0})
    found = shares(ohms, Prediction(Interval(100.0, math.inf), healthy=False))
    normal = 0.5 * math.log10(5.55)
    assert found == pytest.approx({"normal": normal, "high": 1 - normal})


@pytest.mark.parametrize(
    ("low", "expected"),
    [
        # Half lies beyond every range, half up to ten times the low end.
        (1.5, {"high": 0.5 + 0.5 * 11 / 13.5, "normal": 0.5 * 1.5 / 13.5, "nearly": 0.5 / 13.5}),
        # Of a comparison that begins 100 % below the other: up to nine times it, from -100 to 800 %.
        (-100, {"high": 0.5 + 398 / 900, "low": 101.5 / 1800, "normal": 1.5 / 1800, "nearly": 1 / 1800}),
        (0.0, {"high": 1.0}),
    ],
)
def test_what_reads_open_at_most_is_half_beyond_all_ranges(low, expected):
    assert shares(THREE, Prediction(Interval(low, math.inf), healthy=False)) == pytest.approx(expected)


def test_beside_an_open_circuit_an_outcome_ends_where_it_is_written():
    ohms = replace(measuring(normal="90 to 110 ohm", gone="open"), mode="ohms")
    assert shares(ohms, Prediction(Interval(100.0, 105.0), healthy=False)) == pytest.approx({"normal": 1.0})
    assert shares(ohms, Prediction(Interval(120.0, 130.0), healthy=False)) == pytest.approx({"gone": 1.0})
