"""What one reading says by itself, by hand: `under 1 V`, `3 to 5 V` (healthy), `over 8 V`."""

from __future__ import annotations

import math
from typing import Any

import pytest

from benchlore.diagnosis.likelihood import scale_of
from benchlore.diagnosis.reading import Reading
from benchlore.diagnosis.verdict import possible, verdict
from tests.diagnosis.test_scale import MEASUREMENT, METER, OHMS, THREE, measuring


def said(value: float, span: Any = None, **outcomes: str) -> tuple[str, str, str]:
    measurement = measuring(MEASUREMENT, **outcomes) if outcomes else THREE
    found = verdict(measurement, METER, scale_of(measurement, METER), Reading("m", "", value, span=span))
    return found.kind, found.outcome, found.says.replace("\u00a0", " ")


def u(value: float) -> float:
    """0.5 % and three counts of 10 mV."""
    return (0.005 * abs(value) + 0.03) / math.sqrt(3)


@pytest.mark.parametrize(
    ("value", "kind", "outcome"),
    [
        (0.5, "decided", "low"),
        (4.0, "decided", "normal"),
        (14.0, "decided", "high"),
        (1.9, "undecided", "low"),
        (2.1, "undecided", "normal"),
        (6.4, "undecided", "normal"),
        (6.6, "undecided", "high"),
        (-1 - 2.9 * u(1), "decided", "low"),
        (-1 - 3.2 * u(1), "outside", "low"),
        (-19.0, "outside", "low"),
    ],
)
def test_where_a_reading_lies(value, kind, outcome):
    assert said(value)[:2] == (kind, outcome)


def test_above_all_outcomes_a_reading_fits_none():
    for away, kind in ((2.9, "decided"), (3.2, "outside")):
        value = 5 + away * u(5)
        assert said(value, low="under 1 V", normal="3 to 5 V")[0] == kind


def test_what_is_said_between_two_outcomes():
    assert said(2.0)[2] == "2.000 V lies between low and normal; it may be either"
    near = said(3.001, low="1 to 3 V", normal="3 to 5 V")
    assert near[:2] == ("undecided", "normal")
    assert near[2] == (
        "3.001 V may be normal or low; with 0.5 % + 3 counts either is possible; use a better meter"
    )


@pytest.mark.parametrize(
    ("value", "may_be"), [(0.5, ("low",)), (1.9, ("low", "normal")), (6.6, ("normal", "high")), (-19.0, ())]
)
def test_what_a_reading_may_be_is_all_that_leaves_it_undecided(value, may_be):
    assert possible(scale_of(THREE, METER), Reading("m", "", value)) == may_be


def test_an_unsteady_reading_is_shown_with_its_ends():
    kind, outcome, says = said(4.0, (3.5, 4.5))
    assert (kind, outcome) == ("decided", "normal")
    assert says.startswith("3.500 V to 4.500 V, unsteady, is normal")
    assert said(-1.5, (-2.0, -1.1))[0] == "outside"
    assert said(-1.0, (-2.0, -0.5))[0] == "decided", "part of it lies within an outcome"


def test_probabilities_of_a_reading_sum_to_one_or_are_nothing():
    scale = scale_of(THREE, METER)
    for value in (0.5, 2.0, 4.0, 7.0):
        found = verdict(THREE, METER, scale, Reading("m", "", value))
        assert sum(p for _, p in found.outcomes) == pytest.approx(1)
        assert found.uncertainty == pytest.approx(u(value))
    none = verdict(THREE, METER, scale, Reading("m", "", -19.0))
    assert {p for _, p in none.outcomes} == {0.0}


def test_a_reading_is_decided_from_95_of_a_hundred():
    """`1 to 3 V` and `3 to 5 V` touch: k errors above the cut the upper one has Phi(k)."""
    for k, kind in ((1.60, "undecided"), (1.69, "decided")):  # Phi is 0.945 and 0.954
        value = 3.0
        for _ in range(20):
            value = 3 + k * u(value)
        assert said(value, low="1 to 3 V", normal="3 to 5 V")[:2] == (kind, "normal")


def test_what_is_named_or_over_range_has_no_uncertainty():
    ohms = measuring(OHMS, normal="90 to 110 ohm", high="over 1 Mohm", gone="open")
    scale = scale_of(ohms, METER)
    named = verdict(ohms, METER, scale, Reading("m", "", outcome="high"))
    assert (named.kind, named.outcome, named.uncertainty) == ("decided", "high", None)
    over = verdict(ohms, METER, scale, Reading("m", "OL"))
    assert (over.kind, over.outcome, over.uncertainty) == ("decided", "gone", None)
    assert over.says.startswith("over-range is gone")


@pytest.mark.parametrize("wide", ["a", "z"])
def test_beside_a_wide_outcome_a_narrow_one_may_be_likelier_and_nothing_is_decided(wide):
    """`3 to 3.001 V` is some sixty times as dense as `1 to 3 V`, whatever their names."""
    outcomes = {wide: "1 to 3 V", "normal": "3 to 3.001 V"}
    assert said(2.995, **outcomes)[:2] == ("undecided", wide)
    assert f"may be normal or {wide}" in said(2.995, **outcomes)[2]
    assert said(2.0, **outcomes)[:2] == ("decided", wide)


def test_over_range_may_be_one_of_two():
    """Half of `10 to 30 Mohm` lies beyond the 20 Mohm of the meter, and all of what is above."""
    ohms = measuring(OHMS, normal="1 to 10 Mohm", high="10 to 30 Mohm", gone="over 30 Mohm")
    found = verdict(ohms, METER, scale_of(ohms, METER), Reading("m", "OL"))
    assert (found.kind, found.outcome) == ("undecided", "gone")
    assert dict(found.outcomes) == pytest.approx({"normal": 0, "high": 1 / 3, "gone": 2 / 3})
    assert found.says == (
        "over-range may be gone or high; with an over-range reading either is possible; use a better meter"
    )
