"""The outcomes that follow from a healthy range, where a record is silent."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchlore.book.outcomes import in_full
from benchlore.quantity import parse_quantity
from benchlore.vocabulary import FUNCTIONS


def ranges(mode: str, healthy: str, **stated: object) -> dict[str, str]:
    return {name: one["range"] for name, one in in_full(mode, healthy, stated).items()}


# What a shop writes around such a range, as in records written by hand (common practice, no source);
# a voltage is absent below a tenth of its lower end.
@pytest.mark.parametrize(
    ("mode", "healthy", "expected"),
    [
        (
            "dc-volts",
            "3.34 to 3.51 V",
            {"low": "0.337 to 3.27 V", "absent": "under 0.33 V", "high": "over 3.59 V"},
        ),
        (
            "ohms",
            "17.5 to 26.5 kohm",
            {"low": "26.1 ohm to 16.9 kohm", "shorted": "under 25 ohm", "high": "over 27.3 kohm"},
        ),
        (
            "ohms",
            "5.4 to 8.2 ohm",
            {"low": "1.49 to 4.88 ohm", "shorted": "under 1.1 ohm", "high": "over 8.8 ohm"},
        ),
        (
            "junction",
            "0.42 to 0.52 V",
            {
                "shorted": "under 0.05 V",
                "low": "0.0595 to 0.399 V",
                "high": "0.544 to 1.93 V",
                "open": "over 2 V",
            },
        ),
        ("ac-ripple", "under 30 mV", {"high": "over 33 mV"}),
        ("amps", "0.45 to 1.1 A", {"low": "under 0.405 A", "high": "over 1.21 A"}),
        (
            "hertz",
            "32.5 to 33.0 kHz",
            {"low": "0.498 to 32 kHz", "absent": "under 0.49 kHz", "high": "over 33.5 kHz"},
        ),
        ("celsius", "15 to 42 degC", {"hot": "over 48.9 degC"}),
    ],
)
def test_the_outcomes_of_a_kind_follow(mode, healthy, expected):
    assert ranges(mode, healthy) == {"normal": healthy, **expected}


def test_a_name_alone_says_what_an_outcome_means():
    found = in_full("dc-volts", "17.9 to 20.0 V", {"absent": "The fuse is open.", "normal": "It carries."})
    assert found["absent"]["means"] == "The fuse is open."
    assert found["absent"]["range"] == "under 1.8 V"
    assert found["normal"] == {"range": "17.9 to 20.0 V", "normal": True, "means": "It carries."}


def test_an_over_voltage_stops_the_bench_unless_the_record_says_otherwise():
    assert in_full("dc-volts", "3.2 to 3.4 V", {})["high"]["stop"] is True
    assert in_full("dc-volts", "3.2 to 3.4 V", {"high": {"stop": False}})["high"]["stop"] is False
    assert "stop" not in in_full("dc-volts", "under 20 mV", {})["high"], "a drop is no over-voltage"


def test_what_is_stated_keeps_its_range_and_the_others_take_the_rest():
    special = {"default": {"range": "8.10 to 8.25 V", "means": "No command came."}}
    found = ranges("dc-volts", "8.35 to 8.45 V", **special)
    assert found["default"] == "8.10 to 8.25 V"
    assert found["low"] == "0.857 to 7.93 V"
    idle = {"idle": {"range": "under 96 mA", "means": "Asleep."}}
    assert ranges("amps", "0.45 to 1.1 A", **idle)["low"] == "0.106 to 0.405 A"


def test_no_outcome_without_room():
    over = {"over": {"range": "over 3.45 V", "means": "Too high."}}
    assert "high" not in ranges("dc-volts", "3.2 to 3.4 V", **over)


def test_without_a_healthy_range_nothing_is_added():
    assert in_full(
        "look", None, {"clean": {"normal": True, "means": "Clean."}, "bent": "A blade is bent."}
    ) == {
        "clean": {"normal": True, "means": "Clean."},
        "bent": {"means": "A blade is bent."},
    }


@given(
    st.sampled_from([f.id for f in FUNCTIONS.values() if f.unit]),
    st.floats(1e-6, 1e6),
    st.floats(1.001, 5.0),
)
def test_they_never_overlap_and_reach_both_ends(mode, low, width):
    unit = FUNCTIONS[mode].unit
    healthy = f"{low:.9f} to {low * width + 1e-6:.9f} {unit}"
    found = sorted((parse_quantity(text) for text in ranges(mode, healthy).values()), key=lambda q: q.low)
    assert all(one.high < other.low for one, other in pairwise(found))
    assert found[-1].high == math.inf
