"""What a meter cannot have shown, and what may lack the prefix of the display: at their ends, by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from benchlore.book.model import Compare, Measurement, Meter, frozen_map
from benchlore.diagnosis.reading import ReadingError, read
from tests.books import example
from tests.diagnosis.test_scale import METER, OHMS, measuring

# The meter: 20 V in 10 mV and 200 V in 100 mV; ohms from 200 ohm in 0.1 ohm to 20 Mohm in 10 kohm.
KILO = measuring(OHMS, short="under 1 kohm", normal="1.8 to 2.2 kohm", high="over 3 kohm")
VOLTS = measuring(low="under 1 V", normal="3 to 5 V", high="over 8 V")
WREN = example().families["siskin-12"].measurements
HAND = example().meters["hand-held-3-half"]
JUNCTION = next(m for m in WREN.values() if m.mode == "junction")


def choices(measurement: Measurement, text: str, meter: Meter = METER) -> tuple[str, ...] | float | None:
    """What is asked back, or what it is read as; None for over-range."""
    try:
        return read(measurement, meter, text).value
    except ReadingError as error:
        return error.choices or (error.reason,)


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("2", ("2 ohm", "2 kohm")),
        ("2.0", ("2.0 ohm", "2.0 kohm")),
        ("1.8", ("1.8 ohm", "1.8 kohm")),
        ("2.2", ("2.2 ohm", "2.2 kohm")),
        ("1.79", 1.79),
        ("2.21", 2.21),
        ("2000", 2000.0),
        ("2 ohm", 2.0),
        ("2k", 2000.0),
        ("0.002", ("0.002 ohm", "0.002 Mohm")),  # no range of ohms has three digits behind the point
        ("0.9", 0.9),
        ("0", 0.0),
        ("0.0", 0.0),
        ("1 to 2", 1.5),
    ],
)
def test_ohms_that_a_prefix_would_make_healthy(typed, found):
    assert choices(KILO, typed) == found


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("4000", ("4000 mV", "4000 uV")),  # beyond 200 V
        ("201", ("201 mV", "201 uV")),
        ("200", 200.0),
        ("-200", -200.0),
        ("0.004", ("0.004 V", "0.004 kV")),
        ("4", 4.0),
        ("40", 40.0),
        ("200 V 1%", ("'200 V 1%' has a tolerance",)),
    ],
)
def test_volts_that_the_meter_cannot_show(typed, found):
    assert choices(VOLTS, typed) == found


@pytest.mark.parametrize(
    ("typed", "note"), [("-0.06", False), ("-0.061", True), ("0.5", False), ("-5", True)]
)
def test_volts_below_zero_ask_for_the_leads(typed, note):
    """Six counts of 10 mV may be the meter's own."""
    assert ("leads" in read(VOLTS, METER, typed).note) == note


@pytest.mark.parametrize(("typed", "refused"), [("-0.6", False), ("-0.61", True), ("-5", True)])
def test_ohms_are_never_below_zero(typed, refused):
    """Six counts of 0.1 ohm may be the meter's own; what is lower is charge on the board."""
    found = choices(KILO, typed)
    assert isinstance(found, tuple) == refused
    if refused:
        with pytest.raises(ReadingError, match="check that no charge is left on the board"):
            read(KILO, METER, typed)


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("22 mohm", ("22 Mohm", "22 ohm")),
        ("99 mohm", ("99 Mohm", "99 ohm")),
        ("100 mohm", 0.1),
        ("0 mohm", 0.0),
    ],
)
def test_milliohms_that_no_range_shows_may_be_megohms(typed, found):
    assert choices(KILO, typed) == found


@pytest.mark.parametrize(
    ("measurement", "typed", "found"),
    [
        (KILO, "1", ("OL", "1.0 ohm")),
        (KILO, "1.", ("OL", "1.0 ohm")),
        (KILO, "1.0", 1.0),
        (VOLTS, "1", 1.0),
        (VOLTS, "1.", ("OL", "1.0 V")),
        (KILO, "OL", None),
        (VOLTS, "OL", ("over-range in DC volts says that the dial is wrong, or its range too low",)),
        (measuring(normal="3 to 5 V", high="over 200 V"), "OL", None),
        (
            measuring(normal="3 to 5 V", high="over 199 V"),
            "OL",
            ("over-range in DC volts says that the dial is wrong, or its range too low",),
        ),
    ],
)
def test_what_may_be_over_range(measurement, typed, found):
    assert choices(measurement, typed) == found


def test_a_meter_without_the_function_is_named():
    with pytest.raises(ReadingError, match=r"has no .* function; choose a meter that has it, or type"):
        read(VOLTS, replace(METER, accuracy=frozen_map()), "4")


def test_an_unsteady_reading_is_its_middle_and_keeps_its_ends():
    found = read(VOLTS, METER, "3 to 4.5 V")
    assert (found.value, found.span) == (3.75, (3.0, 4.5))
    assert read(VOLTS, METER, "4").span is None
    with pytest.raises(ReadingError, match="beyond"):
        read(VOLTS, METER, "3 to 201 V")
    with pytest.raises(ReadingError, match="beyond"):
        read(VOLTS, METER, "-201 to 3 V")


def test_a_drop_in_diode_mode_may_lack_its_millivolts():
    junction = measuring(JUNCTION, short="under 0.1 V", normal="0.4 to 0.6 V", high="0.7 to 2 V")
    assert choices(junction, "514", HAND) == ("514 mV", "514 uV")
    assert choices(junction, ".514", HAND) == 0.514
    assert choices(junction, "2", HAND) == 2.0


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("0.5", 0.5),  # as a display shows half an ohm
        (".514", (".514 ohm", ".514 kohm")),  # no range of ohms shows thousandths
        ("0.45", ("0.45 ohm", "0.45 kohm")),
        ("-5 mohm", -0.005),
    ],
)
def test_a_small_number_is_asked_about_where_no_display_shows_it_so(typed, found):
    half = measuring(OHMS, short="under 100 ohm", normal="450 to 550 ohm", high="over 600 ohm")
    assert choices(half, typed) == found


def test_millivolts_are_asked_about_where_the_meter_shows_them():
    """A tenth of a millivolt up to 0.2 V; the other meter's finest range has 10 mV."""
    small = measuring(low="under 0.1 V", normal="0.14 to 0.16 V", high="100 to 160 V")
    assert choices(small, "150", HAND) == ("150 V", "150 mV")
    assert choices(small, "150.0", HAND) == ("150.0 V", "150.0 mV")
    assert choices(small, "150.00", HAND) == 150.0
    assert choices(small, "150") == 150.0


def test_what_is_expected_is_said():
    look = next(m for m in WREN.values() if m.unit is None)
    for measurement, words in (
        (look, f"type one of {', '.join(look.outcomes)}"),
        (VOLTS, "type what the meter shows in V, or OL"),
    ):
        for text in ("", "x" * 61):
            with pytest.raises(ReadingError) as refusal:
                read(measurement, METER, text)
            assert refusal.value.mend == words


def test_milliseconds_are_never_megaseconds():
    """Fifty of them are less than the tenth of a second that the meter shows, and are taken as typed."""
    late = measuring(VOLTS, early="under 1 s", normal="1 to 3 s")
    late = replace(late, mode="seconds")
    assert choices(late, "50 ms", HAND) == 0.05


@pytest.mark.parametrize(
    ("typed", "outcome"), [("OL / 5 kohm", "high"), ("5 kohm / OL", "low"), ("900 kohm / 5 kohm", "high")]
)
def test_one_of_two_that_is_far_beyond_the_other_is_an_outcome(typed, outcome):
    """18000 % apart is more than a ratio is shown to; where no outcome is called so, names are asked."""
    apart = replace(
        measuring(OHMS, low="under -7.6 %", normal="-6 to 6 %", high="over 7.6 %"),
        compare=Compare(with_="OTHER", within=6.0),
    )
    assert read(apart, METER, typed).outcome == outcome
    named = measuring(OHMS, normal="-6 to 6 %", unlike="")
    with pytest.raises(ReadingError, match="far beyond the other") as refused:
        read(replace(named, compare=apart.compare), METER, typed)
    assert "normal, unlike" in str(refused.value)


def test_a_value_at_the_ends_of_what_may_be_asked_back():
    """A meter may show 1.0 kohm as 1.0, and 20 Mohm is the last that it shows; of 0.9 ohm nobody asks."""
    one = measuring(OHMS, short="under 0.5 kohm", normal="0.8 to 1.2 kohm", high="over 3 kohm")
    assert choices(one, "1.0") == ("1.0 ohm", "1.0 kohm")
    assert choices(one, "0.9") == 0.9
    most = measuring(OHMS, short="under 1 kohm", normal="15 to 20 Mohm")
    assert choices(most, "20") == ("20 ohm", "20 Mohm")


def test_a_meter_without_counts_is_off_by_its_last_digit():
    """0.1 ohm, doubled."""
    exact = frozen_map({"ohms": tuple(replace(r, counts=0) for r in METER.accuracy["ohms"])})
    meter = replace(METER, accuracy=exact)
    assert choices(KILO, "-0.2", meter) == -0.2
    assert isinstance(choices(KILO, "-0.21", meter), tuple)


def test_of_two_readings_one_may_be_next_to_nothing():
    pair = replace(
        measuring(low="under -10 %", normal="-5 to 5 %", high="over 10 %"),
        compare=Compare(with_="B", within=5.0),
    )
    assert read(pair, METER, "0.05 / 5").value == pytest.approx(-99.0)
    assert read(pair, METER, "0 / 5").value == pytest.approx(-100.0)
    with pytest.raises(ReadingError, match="both read nothing"):
        read(pair, METER, "0.05 / 0.06")
    with pytest.raises(ReadingError, match="both read nothing"):
        read(pair, METER, "0.05 / 0")
    assert read(pair, METER, "5 / 0").outcome == "high"
