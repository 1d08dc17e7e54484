"""What a technician types: understood, or refused with a reason and a mend; nothing else."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchlore.book.model import Measurement
from benchlore.diagnosis.likelihood import class_of, outcome_weights, scale_of
from benchlore.diagnosis.meter import standard_uncertainty
from benchlore.diagnosis.posterior import Evidence, posterior
from benchlore.diagnosis.reading import Reading, ReadingError, read
from benchlore.diagnosis.verdict import verdict
from tests.books import example
from tests.diagnosis.cases import case

FAMILY = "siskin-12"
EVERY = [(f.id, m) for f in example().families.values() for m in f.measurements]


def measurement(name: str) -> Measurement:
    return example().families[FAMILY].measurements[name]


def of_mode(mode: str) -> Measurement:
    family = example().families[FAMILY]
    return next(m for _, m in sorted(family.measurements.items()) if m.mode == mode)


def meter(name: str = "hand-held-3-half"):
    return example().meters[name]


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("7.92", 7.92),
        ("7,92 V", 7.92),
        ("7.92V", 7.92),
        ("819 mV", 0.819),
        (".514", 0.514),
        ("-0.02", -0.02),
        ("\u22120.02", -0.02),
        ("+5", 5.0),
        ("0,5", 0.5),
        ("7.92 v", 7.92),
        (" 12 ", 12.0),
    ],
)
def test_volts(typed, value):
    found = read(measurement("main-rail-adapter"), meter(), typed)
    assert (found.measure, found.typed, found.value, found.outcome) == (
        "main-rail-adapter",
        typed,
        value,
        None,
    )
    assert ("leads" in found.note) is (value < 0)


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("2.2k", 2200.0),
        ("2k2 ohm", 2200.0),
        ("2k2k", None),
        ("4.7 kohm", 4700.0),
        ("4.7 k\u03a9", 4700.0),
        ("0.3", 0.3),
    ],
)
def test_ohms(typed, value):
    ohms = of_mode("ohms")
    if value is None:
        with pytest.raises(ReadingError):
            read(ohms, meter(), typed)
    else:
        assert read(ohms, meter(), typed).value == value


@pytest.mark.parametrize("typed", ["OL", "ol", "O.L", "open", "\u221e"])
def test_over_range(typed):
    junction = of_mode("junction")
    found = read(junction, meter(), typed)
    assert found.over_range or found.outcome == "open"


def test_names_of_outcomes():
    assert read(measurement("main-rail-adapter"), meter(), "Default").outcome == "default"
    look = of_mode("look")
    name = next(iter(look.outcomes))
    assert read(look, meter(), name.replace("-", " ")).outcome == name


@pytest.mark.parametrize(
    ("typed", "reason"),
    [
        ("", "nothing was typed"),
        ("7.92 A", "this is a current, in A; volts belong here"),
        ("7.92 8.20", "more than one number"),
        ("about eight", "is no value"),
        ("8.1.9", "is no value"),
        ("<1", "is not a reading"),
        ("5000", "beyond"),
        ("x" * 61, "at most 60 characters"),
        ("0x10", "is not"),
        ("NaN", "is no value"),
    ],
)
def test_refusals_say_why_and_what_to_type(typed, reason):
    with pytest.raises(ReadingError) as refusal:
        read(measurement("main-rail-adapter"), meter(), typed)
    assert reason in f"{refusal.value.reason} {refusal.value}"
    assert refusal.value.mend


@given(st.text(max_size=60), st.sampled_from(EVERY), st.sampled_from(sorted(example().meters)))
def test_no_text_raises_anything_but_its_refusal(typed, which, name):
    family, measure = which
    measured = example().families[family].measurements[measure]
    try:
        found = read(measured, meter(name), typed)
    except ReadingError:
        return
    scale = scale_of(measured, meter(name))
    weights, nothing = outcome_weights(scale, found)
    assert nothing > 0
    assert all(w >= 0 for w in weights)
    said = verdict(measured, meter(name), scale, found)
    assert all(0 <= p <= 1 for _, p in said.outcomes)


@given(st.floats(-1e9, 1e9), st.sampled_from(EVERY))
def test_any_number_gives_probabilities_or_a_refusal(value, which):
    family, measure = which
    known = case(family)
    measured = example().families[family].measurements[measure]
    try:
        found = read(measured, meter(), f"{value:.6f}")
    except ReadingError:
        return
    probabilities = posterior(known, Evidence((), (found,)))
    assert sum(probabilities) == pytest.approx(1)
    assert all(0 <= p <= 1 for p in probabilities)


@pytest.mark.parametrize("family", sorted(example().families))
def test_a_verdict_is_decided_for_what_the_reading_is_taken_for_alone(family):
    """What stops the bench, what a proof accepts and what the words say is one outcome."""
    near = 0
    for measured in example().families[family].measurements.values():
        scale = scale_of(measured, meter())
        for cut in scale.cuts:
            for away in (-2.0, -1.0, -0.2, 0.2, 1.0, 2.0):
                value = cut + away * standard_uncertainty(scale.ranges, cut)
                reading = Reading(measured.id, "", value)
                said = verdict(measured, meter(), scale, reading)
                assert said.outcome == scale.bands[class_of(scale, reading)].outcome
                likeliest = max(said.outcomes, key=lambda item: item[1])[0]
                assert said.kind != "decided" or likeliest == said.outcome, (measured.id, value)
                near += likeliest != said.outcome
    assert near > 5, "there are readings that the wider outcome is nearer to"


@pytest.mark.parametrize(
    ("name", "typed", "kind"),
    [
        ("main-rail-adapter", "-0.02", "decided"),
        ("main-rail-adapter", "-7.92", "outside"),
        ("pack-data-junction", "-0.004", "decided"),
    ],
)
def test_a_reading_far_below_zero_is_no_low_one(name, typed, kind):
    """Swapped leads."""
    measured = measurement(name)
    scale = scale_of(measured, meter())
    assert verdict(measured, meter(), scale, read(measured, meter(), typed)).kind == kind


def test_a_drop_in_diode_mode_is_never_far_below_zero():
    """The meter drives the current: what reads -0.48 V is charge that was left on the board."""
    with pytest.raises(ReadingError, match="below zero"):
        read(measurement("pack-data-junction"), meter(), "-0.48")


def test_millihertz_and_megahertz_are_not_mixed_up():
    measured = of_mode("hertz")
    with pytest.raises(ReadingError, match=r"in two ways; type 32\.768 MHz or 0\.032768 Hz"):
        read(measured, meter(), "32.768 mhz")
    assert read(measured, meter(), "32.768 khz").value == 32768
