"""A measurement seen through a meter, worked out by hand: bands, cuts, densities, what is taken for what.

A meter of 20 V and 200 V that reads half a percent and three counts; outcomes `under 1 V`, `3 to 5 V`
(healthy) and `over 8 V`, so its 20 V range is set.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from benchlore.book.model import Compare, Measurement, frozen_map
from benchlore.diagnosis.likelihood import (
    band_density,
    class_of,
    class_table,
    elsewhere,
    meaningless_classes,
    outcome_weights,
    scale_of,
)
from benchlore.diagnosis.reading import Reading
from benchlore.quantity import parse_quantity
from tests.books import example

MEASUREMENT = example().families["siskin-12"].measurements["main-rail-adapter"]
OHMS = example().families["siskin-12"].measurements["main-rail-ohms"]
ONE = next(iter(MEASUREMENT.outcomes.values()))
HAND_HELD = example().meters["hand-held-3-half"]
METER = replace(
    HAND_HELD,
    accuracy=frozen_map(
        {
            "dc-volts": tuple(r for r in HAND_HELD.accuracy["dc-volts"] if r.up_to.middle > 2),
            "ohms": HAND_HELD.accuracy["ohms"],
        }
    ),
)


def measuring(of: Measurement = MEASUREMENT, **outcomes: str) -> Measurement:
    """A measurement with outcomes of these ranges; `normal` is the healthy one, an empty text is named."""
    made = {
        name: replace(ONE, id=name, range=parse_quantity(text) if text else None, normal=name == "normal")
        for name, text in outcomes.items()
    }
    return replace(of, outcomes=frozen_map(made))


THREE = measuring(low="under 1 V", normal="3 to 5 V", high="over 8 V")
SCALE = scale_of(THREE, METER)
LOW, NORMAL, HIGH = SCALE.bands
U = (0.005 * 4 + 3 * 0.01) / math.sqrt(3)  # of a reading of 4 V


def test_bands_are_the_outcomes_and_an_open_end_is_closed_by_the_range():
    assert (SCALE.lowest, SCALE.highest, SCALE.anywhere) == (-20.0, 20.0, 1 / 40)
    assert (LOW.low, LOW.high, LOW.floor, LOW.ceiling) == (-1.0, 1.0, 0.0, 1.0), "leads may be swapped"
    assert (NORMAL.low, NORMAL.high, NORMAL.floor, NORMAL.ceiling) == (3.0, 5.0, 3.0, 5.0)
    assert (HIGH.low, HIGH.high, HIGH.floor, HIGH.ceiling) == (8.0, math.inf, 8.0, 20.0)
    assert [b.over for b in SCALE.bands] == [0.0, 0.0, 0.05], "one in twenty of `over 8 V` is over 200 V"
    assert [(b.under, b.beyond) for b in SCALE.bands] == [(0, 2), (2, 3), (3, 0)]
    assert [b.inside for b in SCALE.bands] == pytest.approx([0.975, 0.95, 0.975])
    assert (SCALE.order, SCALE.cuts, SCALE.normal, SCALE.over_class) == ((0, 1, 2), (2.0, 6.5), (1,), 2)
    assert [class_of(SCALE, Reading("m", "", x)) for x in (-19, 1.99, 2.01, 6.49, 6.51, 199)] == [
        *(0, 0, 1, 1, 2, 2)
    ]
    assert class_of(SCALE, Reading("m", "OL")) == 2
    assert class_of(SCALE, Reading("m", "", outcome="normal")) == 1


@pytest.mark.parametrize(
    ("outcomes", "floors", "ceilings", "overs"),
    [
        # Below zero on both sides, `under -1 V` ends where the range does, and at its own breadth at least.
        ({"low": "under -1 V", "normal": "3 to 5 V"}, (-21.0, 3.0), (-1.0, 5.0), (0.0, 0.0)),
        ({"low": "under -30 V", "normal": "3 to 5 V"}, (-230.0, 3.0), (-30.0, 5.0), (0.0, 0.0)),
        # What begins at the end of the range ends half way to what the meter can show.
        ({"normal": "3 to 5 V", "high": "over 20 V"}, (3.0, 20.0), (5.0, 110.0), (0.0, 0.05)),
        # What the meter cannot show is over-range: all of it, or the share that lies beyond.
        ({"normal": "3 to 5 V", "high": "over 200 V"}, (3.0, 200.0), (5.0, 200.0), (0.0, 1.0)),
        ({"normal": "3 to 5 V", "high": "150 to 250 V"}, (3.0, 150.0), (5.0, 250.0), (0.0, 0.5)),
        ({"normal": "3 to 5 V", "burnt": ""}, (3.0, 0.0), (5.0, 0.0), (0.0, 0.0)),
    ],
)
def test_where_a_band_ends(outcomes, floors, ceilings, overs):
    bands = scale_of(measuring(**outcomes), METER).bands
    assert tuple(b.floor for b in bands) == pytest.approx(floors)
    assert tuple(b.ceiling for b in bands) == pytest.approx(ceilings)
    assert tuple(b.over for b in bands) == pytest.approx(overs)


def test_ohms_know_no_minus_and_half_of_what_is_open_ended_is_over_range():
    """Over 1 Mohm is the open circuit, too, unless `open` is an outcome of its own."""
    found = scale_of(measuring(OHMS, normal="90 to 110 ohm", high="over 1 Mohm"), METER)
    assert (found.lowest, found.highest, found.anywhere) == (0.0, 2e6, 1 / 2e6)
    assert found.bands[1].over == 0.5
    named = scale_of(measuring(OHMS, normal="90 to 110 ohm", high="over 1 Mohm", gone="open"), METER)
    assert [b.over for b in named.bands] == [0.0, 0.0, 1.0]
    assert named.over_class == 2
    assert not named.bands[2].read


def test_a_meter_without_the_mode_names_outcomes_only():
    found = scale_of(THREE, replace(METER, accuracy=frozen_map()))
    assert (found.ranges, found.order, found.size, found.anywhere) == ((), (), 3, 0.0)
    assert outcome_weights(found, Reading("m", "", outcome="high")) == ((0.0, 0.0, 1.0), 1 / 3)
    assert class_table(found) == ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def test_the_density_of_a_reading_by_hand():
    """Of a healthy board 0.95 of the readings lie evenly over 2 V, 0.025 fall off to either side."""
    assert band_density(NORMAL, 4.0, U) == pytest.approx(0.95 / 2)
    assert band_density(NORMAL, 5.0, U) == pytest.approx(0.95 / 4), "half of the error lies outside"
    # In the middle of the 3 V above it half is left of twice the mean density: 0.025 x 2 x 0.5 / 3.
    assert band_density(NORMAL, 6.5, U) == pytest.approx(0.025 / 3)
    assert band_density(NORMAL, 5.75, U) == pytest.approx(0.025 * 2 * 0.75 / 3)
    assert band_density(NORMAL, 2.5, U) == pytest.approx(0.025 * 2 * 0.75 / 2)
    assert band_density(NORMAL, 9.0, U) == band_density(NORMAL, 0.5, U) == 0.0
    # Over 8 V: a twentieth is over-range, and nothing lies beside it above.
    assert band_density(HIGH, 14.0, U) == pytest.approx(0.95 * 0.975 / 12)
    assert band_density(HIGH, 150.0, U) == pytest.approx(0.95 * 0.975 / 12)
    assert band_density(HIGH, 6.5, U) == pytest.approx(0.95 * 0.025 / 3)
    # Swapped leads: 0.5 V or -0.5 V, the same outcome.
    assert band_density(LOW, -0.5, U) == band_density(LOW, 0.5, U) == pytest.approx(0.975)


def test_what_a_reading_says_of_each_outcome_by_hand():
    weights, nothing = outcome_weights(SCALE, Reading("m", "", 4.0))
    assert weights == pytest.approx((0, 0.475, 0))
    # 0.9 of the mean of the outcomes, 0.1 of 0.9 anywhere in 40 V.
    assert nothing == pytest.approx(0.9 * 0.475 / 3 + 0.1 * 0.9 / 40)
    weights, nothing = outcome_weights(SCALE, Reading("m", "OL"))
    assert weights == (0.0, 0.0, 0.05)
    assert nothing == pytest.approx(0.9 * 0.05 / 3 + 0.1 * 0.1)
    # One that moves from 3 to 7 V: as many places within 3 to 5 as above.
    moving, _ = outcome_weights(SCALE, Reading("m", "", 5.0, span=(3.0, 7.0)))
    places = [3 + (n + 0.5) / 4 for n in range(16)]
    assert moving[1] == pytest.approx(math.fsum(band_density(NORMAL, x, U) for x in places) / 16, rel=1e-3)


def test_something_else_at_fault_reads_healthy_in_seven_of_ten():
    assert elsewhere(SCALE, (0.1, 0.5, 0.2), 0.3) == pytest.approx(0.7 * 0.5 + 0.3 * 0.3)
    two = replace(SCALE, normal=(0, 1))
    assert elsewhere(two, (0.1, 0.5, 0.2), 0.3) == pytest.approx(0.7 * 0.3 + 0.3 * 0.3)
    assert elsewhere(replace(SCALE, normal=()), (0.1, 0.5, 0.2), 0.3) == 0.3


def test_what_is_taken_for_what_by_hand():
    """The cuts lie in the middle of the gaps, a hundred times the meter's error from any outcome: only what
    falls into a gap is taken for the neighbour, a quarter of a fortieth."""
    quarter = 0.025 / 4
    table = class_table(SCALE)
    assert table[0] == pytest.approx((1 - quarter, quarter, 0))
    assert table[1] == pytest.approx((quarter, 1 - 2 * quarter, quarter))
    # Of `over 8 V` a twentieth is over-range, which is taken for it as well.
    assert table[2] == pytest.approx((0, 0.95 * quarter, 1 - 0.95 * quarter))


def test_where_outcomes_touch_the_error_of_the_meter_alone_confuses():
    """At a cut the mean distance of what is taken wrongly is u phi(0): a share u / (width sqrt(2 pi))."""
    found = scale_of(measuring(low="1 to 3 V", normal="3 to 5 V"), METER)
    u = (0.005 * 3 + 3 * 0.01) / math.sqrt(3)
    wrong = u / (2 * math.sqrt(2 * math.pi))
    assert class_table(found)[0] == pytest.approx((1 - wrong, wrong), rel=1e-9)
    assert class_table(found)[1] == pytest.approx((wrong, 1 - wrong), rel=1e-9)


def test_one_value_alone_is_taken_for_its_neighbour_by_the_tail_of_the_error():
    """`3 V` without width beside `3.02 to 4 V`: the cut lies 10 mV above, within the error of 26 mV."""
    found = scale_of(measuring(low="3 V", normal="3.02 to 4 V"), METER)
    u = (0.005 * 3.01 + 3 * 0.01) / math.sqrt(3)
    below = (1 + math.erf(0.01 / u / math.sqrt(2))) / 2
    assert class_table(found)[0] == pytest.approx(
        (0.975 * below + 0.025 * 3 / 4, 0.975 * (1 - below) + 0.025 / 4), rel=1e-9
    )


def test_a_reading_that_means_nothing_by_hand():
    """0.9 as the outcomes are taken, each as often; 0.1 from -20 to 20 V, a tenth of that over-range."""
    table = class_table(SCALE)
    mean = [math.fsum(row[j] for row in table) / 3 for j in range(3)]
    anywhere = (0.9 * 22 / 40, 0.9 * 4.5 / 40, 0.9 * 13.5 / 40 + 0.1)
    expected = [0.9 * m + 0.1 * a for m, a in zip(mean, anywhere, strict=True)]
    assert meaningless_classes(SCALE, table) == pytest.approx(expected, rel=1e-12)


def test_two_readings_that_are_compared_lie_from_100_percent_below_up_and_are_never_over_range():
    """By hand: a meter's ratio is shown to 1000 %, no reading is less than nothing of the other (-100 %), and
    an over-range half is read as an outcome."""
    one = measuring(low="under -7.6 %", normal="-6 to 6 %", high="over 7.6 %")
    found = scale_of(replace(one, compare=Compare(with_="OTHER", within=6.0)), METER)
    assert (found.lowest, found.highest, found.anywhere) == (-100.0, 1000.0, 1 / 1100)
    low, normal, high = found.bands
    assert (low.floor, low.ceiling, normal.floor, high.floor, high.ceiling) == (-100, -7.6, -6, 7.6, 1000)
    assert [b.over for b in found.bands] == [0, 0, 0]
    weights, nothing = outcome_weights(found, Reading("m", "", -50.0, u=1.0))
    assert weights == pytest.approx((0.975 / 92.4, 0, 0))
    assert nothing == pytest.approx(0.9 * weights[0] / 3 + 0.1 / 1100)
    assert all(math.fsum(row) == pytest.approx(1) for row in class_table(found))
    assert math.fsum(meaningless_classes(found, class_table(found))) == pytest.approx(1)


def test_what_lies_below_an_outcome_ends_where_the_function_does():
    """A thermometer to 400 degC shows nothing below absolute zero, -273.15 degC (SI Brochure, 2.3.1)."""
    heat = replace(MEASUREMENT, mode="celsius")
    ends = measuring(heat, low="under -5 degC", normal="20 to 30 degC", hot="over 300 degC")
    found = scale_of(ends, next(m for m in example().meters.values() if "celsius" in m.accuracy))
    assert (found.lowest, found.bands[0].floor) == (-273.15, -273.15)
