import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchlore.circuit.inputs import InputError
from benchlore.circuit.typed import typed
from benchlore.quantity import QuantityError, parse_quantity
from tests.circuit.vectors import vectors


@pytest.mark.parametrize(
    ("text", "unit", "low", "middle", "high"),
    [
        ("3.42 V", "V", 3.42, 3.42, 3.42),
        ("3.42", "V", 3.42, 3.42, 3.42),
        ("3,42", "V", 3.42, 3.42, 3.42),
        (".36", "V", 0.36, 0.36, 0.36),
        ("7mV", "V", 0.007, 0.007, 0.007),
        ("7 m", "V", 0.007, 0.007, 0.007),
        ("2.2 kohm 5%", "ohm", 2090, 2200, 2310),
        ("2.2k ±5%", "ohm", 2090, 2200, 2310),
        ("4.7 kΩ", "ohm", 4700, 4700, 4700),
        ("20 mΩ +- 20 %", "ohm", 0.016, 0.02, 0.024),
        ("1 to 2 kohm", "ohm", 1000, 1500, 2000),
        ("800 mV to 1 V", "V", 0.8, 0.9, 1.0),
        ("500 mA", "A", 0.5, 0.5, 0.5),
        ("-0.2 V 10%", "V", -0.22, -0.2, -0.18),
    ],
)
def test_what_people_type(text, unit, low, middle, high):
    found = typed("field", text, unit)
    assert (found.low, found.middle, found.high) == pytest.approx((low, middle, high))
    assert found.unit == unit


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "nothing was typed; write a voltage, such as 3.05 V"),
        ("   ", "nothing was typed"),
        ("volts", "'volts' is no value; write a voltage"),
        ("3.42 ohm", "this is a resistance, in Ω; volts belong here; write a voltage"),
        ("1,234", "'1,234' can be read in two ways; type 1.234 V or 1234 V"),
        ("2 to 1 V", "the range does not rise"),
        ("1 V 100%", "a tolerance of 100 %"),
        ("1 V 2 V", "more than one number"),
        ("OL", "is no value"),
        ("9" * 61, "at most 60 characters"),
        ("3.42 V AC", "AC does not fit"),
        ("٣ V", "is no value"),
    ],
)
def test_what_is_refused(text, reason):
    with pytest.raises(InputError) as caught:
        typed("reading", text, "V")
    assert caught.value.field == "reading"
    assert reason in caught.value.reason


@given(st.text(max_size=50))
def test_nothing_but_its_own_refusal(text):
    try:
        found = typed("field", text, "V")
    except InputError:
        return
    assert math.isfinite(found.low)
    assert math.isfinite(found.high)


@given(st.text(alphabet="0123456789.+-% tokmMVVohmAΩ±", max_size=20))
def test_what_the_book_reads_is_read_the_same_way(text):
    try:
        written = parse_quantity(text)
        found = typed("field", text, written.unit if written.unit in ("V", "A", "ohm") else "V")
    except (QuantityError, InputError):
        return
    if written.unit == found.unit and math.isfinite(written.low) and math.isfinite(written.high):
        assert (found.low, found.high) == (written.low, written.high)


def test_the_vectors_hold_every_kind_of_answer():
    cases = vectors()
    assert len(cases) > 2000
    leaks = [case["result"] for case in cases if case["kind"] == "leak" and "result" in case]
    assert {leak["verdict"] for leak in leaks} == {"none", "leak", "short"}
    assert {leak["heat"] for leak in leaks} == {"hidden", "camera", "plain"}
    assert {case["refused"]["field"] for case in cases if "refused" in case} == {
        "supply",
        "pull_up",
        "reading",
        "rail",
        "short",
        "drop",
        "resistance",
        "rating",
    }
