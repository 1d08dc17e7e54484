"""Leak, injection and fuse: what a technician asks with a reading in hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchlore.circuit.calculators import CALCULATORS
from benchlore.circuit.fuse import current_from_drop
from benchlore.circuit.heat import rise, seen_by
from benchlore.circuit.injection import plan_injection
from benchlore.circuit.inputs import InputError
from benchlore.circuit.leak import find_leak
from benchlore.quantity import OPEN, Quantity, parse_quantity

METER = parse_quantity("10 Mohm")


def q(text: str) -> Quantity:
    return parse_quantity(text)


def exact(value: float, unit: str) -> Quantity:
    return Quantity("", unit, value, value, value)


def leak(reading: str, supply: str = "3.42 V 2%", pull_up: str = "2.2 kohm 5%"):
    return find_leak(q(supply), q(pull_up), q(reading), METER)


@given(st.floats(1, 20), st.floats(1e3, 1e5), st.floats(0.01, 1e5))
def test_the_leak_found_gives_the_reading_again(supply, pull_up, ohms):
    reading = supply / (1 + pull_up * (1 / ohms + 1 / 10e6))  # two resistances to ground against the pull-up
    found = find_leak(exact(supply, "V"), exact(pull_up, "ohm"), exact(reading, "V"), METER)
    assert found.resistance.middle == pytest.approx(ohms, rel=1e-6)


def test_a_line_held_at_ground_carries_nothing():
    """Common practice, no source: a data line pulled up to 3.42 V that a short holds at ground carries
    nothing to see."""
    found = leak("0.007 V")
    assert found.verdict == "leak"
    assert found.resistance.middle == pytest.approx(4.51, abs=0.01)
    assert found.power.high < 20e-6
    assert found.most_power < 1.5e-3
    assert found.heat == "hidden"
    short = leak("0.001 V")
    assert short.verdict == "short"
    assert short.resistance.middle < 1
    assert leak("0 V").resistance.middle == 0


def test_a_healthy_line_has_no_leak():
    found = leak("3.42 V")
    assert found.verdict == "none"
    assert found.resistance.high == math.inf
    assert leak("3.36 V").verdict == "none"  # within the rail's tolerance


def test_the_most_that_a_leak_can_take():
    # Half the supply: the leak equals the pull-up, 1.71 V x 1.71 V / 2.2 kohm.
    found = find_leak(q("3.42 V"), q("2.2 kohm"), q("1.71 V"), METER)
    assert found.power.middle == pytest.approx(1.71**2 / 2200, rel=1e-3)
    assert found.power.middle <= found.most_power
    assert found.most_power == pytest.approx(3.42**2 / 8800)


@given(st.floats(0, 3.3), st.floats(0, 0.3))
def test_worst_case_holds_the_nominal(volts, spread):
    reading = Quantity("", "V", volts * (1 - spread), volts * (1 + spread), volts)
    found = find_leak(q("3.42 V 5%"), q("2.2 kohm 5%"), reading, METER)
    for result in (found.resistance, found.current, found.power, found.healthy):
        assert result.low <= result.middle * (1 + 1e-12)
        assert result.middle <= result.high * (1 + 1e-12)


def test_a_strong_leak_on_a_low_pull_up_shows():
    found = find_leak(q("12 V"), q("100 ohm"), q("6 V"), METER)
    assert found.heat == "plain"


@pytest.mark.parametrize(
    ("reading", "supply", "pull_up", "field", "reason"),
    [
        ("-0.2 V", "3.42 V", "2.2 kohm", "reading", "negative; swap the leads"),
        ("5.0 V", "3.42 V", "2.2 kohm", "reading", "something drives the line"),
        ("1 ohm", "3.42 V", "2.2 kohm", "reading", "write a voltage, such as 3.05 V"),
        ("open", "3.42 V", "2.2 kohm", "reading", "write a voltage"),
        ("1 V", "0 V", "2.2 kohm", "supply", "more than zero"),
        ("1 V", "under 3 V", "2.2 kohm", "supply", "write a voltage"),
        ("1 V", "3.42 V", "2.2 V", "pull_up", "write a resistance, such as 2.2 kohm"),
        ("1 V", "3.42 V", "0 ohm", "pull_up", "more than zero"),
    ],
)
def test_bad_input_names_its_field_and_the_reason(reading, supply, pull_up, field, reason):
    with pytest.raises(InputError) as caught:
        find_leak(q(supply), q(pull_up), q(reading), METER)
    assert caught.value.field == field
    assert reason in caught.value.reason


def test_injection_keeps_below_the_rail():
    """Common practice, no source: injection uses the line's own 3.42 V and looks for heat."""
    found = plan_injection(q("3.42 V 2%"), q("0.5 ohm"))
    assert found.ceiling == 3.42
    assert found.begin == 0.5
    assert found.limit == pytest.approx(1.0)
    assert found.start_power == pytest.approx(0.5)
    assert found.start_volts == pytest.approx(0.5)
    assert found.most == pytest.approx(6.84)
    assert found.most_power == pytest.approx(3.42**2 / 0.5)
    assert found.start_heat == "plain"


@pytest.mark.parametrize(
    ("short", "limit", "volts", "watts"),
    [
        ("0.4 ohm", 1.0, 0.4, 0.4),  # the limit holds: 0.5 V would drive 1.25 A
        ("2 ohm", 0.5, 0.5, 0.125),  # the voltage holds: 0.25 A flow
    ],
)
def test_injection_begins_at_half_a_volt_whatever_the_limit(short, limit, volts, watts):
    """Common practice, no source: above 0.5 V the clamps of unpowered chips begin to conduct."""
    found = plan_injection(q("8.4 V"), q(short))
    assert (found.begin, found.ceiling) == (0.5, 8.4)
    assert found.limit == pytest.approx(limit)
    assert found.start_volts == pytest.approx(volts)
    assert found.start_power == pytest.approx(watts)


def test_injection_into_a_rail_below_half_a_volt_begins_at_its_ceiling():
    found = plan_injection(q("0.4 V"), q("0.2 ohm"))
    assert found.begin == found.ceiling == 0.4


def test_injection_into_a_range_takes_its_low_end():
    assert plan_injection(q("6.0 to 8.4 V"), q("1 ohm")).ceiling == 6.0


@given(st.floats(0.5, 60), st.floats(0.005, 1e4))
def test_injection_is_bounded(volts, ohms):
    found = plan_injection(exact(volts, "V"), exact(ohms, "ohm"))
    assert found.limit <= 1.0
    assert found.limit <= found.most * (1 + 1e-12)
    assert found.begin <= min(0.5, found.ceiling)
    assert found.start_volts <= found.begin * (1 + 1e-12)
    assert found.start_amps <= found.limit
    assert found.start_volts == pytest.approx(found.start_amps * ohms)  # Ohm's law
    assert found.start_power == pytest.approx(found.start_volts * found.start_amps)  # Joule's law
    assert found.start_power <= 0.5 * (1 + 1e-9)


@pytest.mark.parametrize(
    ("rail", "short", "field", "reason"),
    [
        ("3.42 V", "0 ohm", "short", "more than zero"),
        ("3.42 V", "1 mohm", "short", "less than leads and meter can show"),
        ("0 V", "1 ohm", "rail", "more than zero"),
        ("1 A", "1 ohm", "rail", "write a voltage"),
    ],
)
def test_injection_refuses(rail, short, field, reason):
    with pytest.raises(InputError) as caught:
        plan_injection(q(rail), q(short))
    assert caught.value.field == field
    assert reason in caught.value.reason


def test_current_from_the_drop_across_a_fuse():
    found = current_from_drop(q("24 mV"), q("20 mohm 20%"), q("3 A"))
    assert found.current.middle == pytest.approx(1.2)
    assert (found.current.low, found.current.high) == pytest.approx((1.0, 1.5))
    assert found.power.middle == pytest.approx(0.0288)
    assert found.share == pytest.approx(0.4)
    assert not found.open


def test_a_fuse_that_has_gone():
    found = current_from_drop(q("19.4 V"), q("20 mohm 20%"))
    assert found.open
    assert found.share is None


@pytest.mark.parametrize(
    ("drop", "resistance", "rating", "field"),
    [
        ("-1 mV", "20 mohm", None, "drop"),
        ("1 mV", "0 ohm", None, "resistance"),
        ("1 mV", "20 mohm", "0 A", "rating"),
        ("1 mV", "20 mohm", "3 V", "rating"),
    ],
)
def test_fuse_refuses(drop, resistance, rating, field):
    with pytest.raises(InputError) as caught:
        current_from_drop(q(drop), q(resistance), q(rating) if rating else None)
    assert caught.value.field == field


def test_open_is_no_value_anywhere():
    with pytest.raises(InputError):
        current_from_drop(OPEN, q("20 mohm"))


def test_heat_by_power():
    assert rise(0.05) == pytest.approx(10)
    assert [seen_by(p) for p in (0, 0.0049, 0.0051, 0.049, 0.051, 5)] == [
        "hidden",
        "hidden",
        "camera",
        "camera",
        "plain",
        "plain",
    ]


@pytest.mark.parametrize(("low", "high"), [(0.5, 3.0), (0.5, 1.2), (2.2, 3.0)])
def test_the_power_in_a_leak_is_bounded_by_every_reading_within_its_tolerance(low, high):
    """V x (supply - V) / pull-up has its top at half the supply, inside the first of these readings."""
    reading = Quantity("", "V", low, high, None)
    found = find_leak(q("3.42 V"), q("2.2 kohm"), reading, METER)
    every = [low + (high - low) * step / 1000 for step in range(1001)]
    power = [volts * (3.42 - volts) / 2200 for volts in every]
    assert found.power.high == pytest.approx(max(power), rel=2e-3)
    assert found.power.low == pytest.approx(min(power), rel=2e-3)


def answers(kind: str, **texts: str) -> str:
    one = CALCULATORS[kind]
    said = one.said(one.work(**one.read(texts)))
    return "; ".join(f"{what}: {value}" for what, value in said).replace("\u00a0", " ")


LINE = {"supply": "3.3 V", "pull_up": "2.2 kohm", "meter": "10 Mohm"}


@pytest.mark.parametrize(
    ("kind", "texts", "said"),
    [
        (
            "inject",
            {"rail": "3.3 V", "short": "0.5 ohm"},
            "Begin at: 0.5 V, current limit 1.0 A; Never above: 3.30 V, the rail's normal voltage; The rail "
            "then reads: 500 mV, held by the limit; Power in the short: 500 mW: enough to be seen with a "
            "camera or with alcohol; Then: raise the voltage slowly, or the limit where the supply stands at "
            "it, and only while nothing warms up; At the ceiling: 6.6 A and 22 W in the short",
        ),
        ("inject", {"rail": "0.3 V", "short": "0.5 ohm"}, "Begin at: 300 mV, current limit 600 mA; Never "),
        (
            "inject",
            {"rail": "12 V", "short": "100 ohm"},
            "then reads: 500 mV, below the limit; Power in the ",
        ),
        (
            "leak",
            LINE | {"reading": "3.3 V"},
            "No leak: the reading is healthy; A healthy line reads: 3.30 V",
        ),
        (
            "leak",
            LINE | {"reading": "0.3 V"},
            "Leak to ground: 220 ohm; It carries: 1.36 mA; It takes: 409 uW: too little to be seen as heat; "
            "Any leak on this line takes at most: 1.24 mW; A healthy line reads: 3.30 V",
        ),
        ("leak", LINE | {"reading": "1 mV"}, "Short to ground: 667 mohm; It carries: 1.50 mA; "),
        (
            "fuse",
            {"drop": "24 mV", "resistance": "20 mohm 20%", "rating": "3 A"},
            "Current: 1.20 A (1.00 A to 1.50 A); Share of the rating: 40 %; Power in the fuse: 28.8 mW "
            "(24.0 mW to 36.0 mW); Mind: a warm fuse has more resistance, so the current is, if anything, "
            "less",
        ),
        # By hand: sqrt(0.5 W / 3.3 ohm) = 389 mA; 0.5 V into it 76 mW; 11 V at the ceiling.
        (
            "inject",
            {"rail": "11 V", "short": "3.3 ohm"},
            "current limit 390 mA; Never above: 11.0 V, ",
        ),
        (
            "inject",
            {"rail": "11 V", "short": "3.3 ohm"},
            "below the limit; Power in the short: 76 mW: ",
        ),
        ("inject", {"rail": "11 V", "short": "3.3 ohm"}, "At the ceiling: 3.3 A and 37 W in the short"),
        (
            "fuse",
            {"drop": "24 mV", "resistance": "20 mohm", "rating": "0.5 A"},
            "Current: 1.20 A; Share of the rating: 240 %; Power in the fuse: 28.8 mW; Mind: ",
        ),
        ("fuse", {"drop": "19 V", "resistance": "20 mohm"}, "Fuse open: a whole fuse never drops as much"),
        # Twenty squares of 0.502 mohm; a fifth thicker and cold, a fifth thinner and at 60 degC, 15.7 % more.
        ("fuse", {"drop": "24 mV", "squares": "20"}, "Current: 2.39 A (1.65 A to 2.86 A); Power in the fuse"),
        (
            "cc",
            {"reading": "0.41 V"},
            "Advertised: default USB current; Its window: 250 mV to 610 mV; Pull-up behind it, to 5 V: ",
        ),
        # Rd of 5.1 kohm within 10 %, and 4.75 to 5.5 V: at each end Rd (V / 0.41 V - 1).
        ("cc", {"reading": "0.41 V"}, "Pull-up behind it, to 5 V: 57.1 kohm (48.6 kohm to 69.6 kohm)"),
        ("cc", {"reading": "0.92 V"}, "Advertised: 1.5 A; Its window: 700 mV to 1.16 V; "),
        ("cc", {"reading": "0.66 V"}, "Advertised: 1.5 A, but the reading lies outside its window; Its "),
        ("cc", {"reading": "1.15 to 1.17 V"}, "Advertised: 1.5 A, but the reading lies outside its window"),
        ("cc", {"reading": "1.7 V"}, "Advertised: 3 A; Its window: 1.31 V to 2.04 V; Pull-up behind it, to "),
        ("cc", {"reading": "0 V"}, "Nothing advertised: no pull-up behind the line, or it is shorted to "),
        ("cc", {"reading": "3.3 V"}, "Nothing pulls it down: the line stands at its pull-up: no sink is "),
    ],
)
def test_what_a_calculator_answers(kind, texts, said):
    """By Ohm's and Joule's laws; the windows are those of the USB-C specification, as in `usb_c.py`."""
    found = answers(kind, **texts)
    assert said in found
    assert len(said) < 100 or said == found


# Of each field: its unit, whether it must be typed, what it holds at first, and what it stands for.
FIELDS = {
    "leak": {
        "supply": ("V", True, "", ""),
        "pull_up": ("ohm", True, "", ""),
        "meter": ("ohm", True, "10 Mohm", ""),
        "reading": ("V", True, "", ""),
    },
    "inject": {"rail": ("V", True, "", ""), "short": ("ohm", True, "", "")},
    "fuse": {
        "drop": ("V", True, "", ""),
        "resistance": ("ohm", True, "", ""),
        "rating": ("A", False, "", ""),
        "squares": ("", False, "", "resistance"),
    },
    "cc": {"reading": ("V", True, "", "")},
}


def test_what_each_field_takes():
    found = {
        kind: {f.name: (f.unit, f.required, f.start, f.stands_for) for f in one.fields}
        for kind, one in CALCULATORS.items()
    }
    assert found == FIELDS
    of_meter = [(kind, f.name) for kind, one in CALCULATORS.items() for f in one.fields if f.of_meter]
    assert of_meter == [("leak", "meter")]
    assert {kind: one.of_net for kind, one in CALCULATORS.items()} == {
        "leak": "line",
        "inject": "rail",
        "fuse": "",
        "cc": "",
    }


@pytest.mark.parametrize("kind", FIELDS)
def test_the_examples_of_a_calculator_are_taken(kind):
    one = CALCULATORS[kind]
    texts = {f.name: f.start or f.example for f in one.fields if not f.stands_for}
    assert set(one.read(texts)) == set(texts)
    assert all(value for what, value in one.said(one.work(**one.read(texts))))


@pytest.mark.parametrize(
    ("texts", "taken"),
    [
        ({"drop": "24 mV", "resistance": "20 mohm", "rating": "3 A"}, {"drop", "resistance", "rating"}),
        ({"drop": "24 mV", "resistance": "20 mohm", "rating": "  "}, {"drop", "resistance"}),
        ({"drop": "24 mV", "resistance": "20 mohm"}, {"drop", "resistance"}),
        ({"drop": "24 mV", "squares": "20"}, {"drop", "squares"}),
        (
            {"drop": "24 mV", "squares": "20", "resistance": "20 mohm"},
            {"drop", "squares", "resistance"},
        ),
    ],
)
def test_what_is_read_of_what_is_typed(texts, taken):
    assert set(CALCULATORS["fuse"].read(texts)) == taken


@pytest.mark.parametrize(
    ("texts", "field", "reason"),
    [
        ({"drop": "24 mV"}, "resistance", "nothing was typed; write a resistance"),
        ({"drop": "24 mV", "squares": " "}, "resistance", "nothing was typed"),
        ({"squares": "20"}, "drop", "nothing was typed"),
        ({"drop": "24 mV", "squares": "many"}, "squares", "write a number, such as 20"),
        ({"drop": "24 mV", "squares": "20", "resistance": "1 ohm"}, "squares", "give this or the resistance"),
        ({"drop": "24 mV", "squares": "0"}, "squares", "how many times the track is as long as wide"),
        ({"drop": "24 mV", "squares": "-1"}, "squares", "how many times the track is as long as wide"),
        ({"drop": "24 mV", "squares": "1e6"}, "squares", "how many times the track is as long as wide"),
        ({"drop": "24 mV", "squares": "nan"}, "squares", "how many times the track is as long as wide"),
    ],
)
def test_what_a_fuse_or_a_track_needs(texts, field, reason):
    with pytest.raises(InputError) as caught:
        answers("fuse", **texts)
    assert caught.value.field == field
    assert reason in caught.value.reason


def test_a_track_may_be_shorter_than_wide_and_very_long():
    for squares in ("0.5", "999999"):
        assert answers("fuse", drop="1 uV", squares=squares).startswith("Current: ")


@pytest.mark.parametrize(
    ("reading", "kind", "first"),
    [
        # The end of each verdict: a reading within the healthy range is none, a short has less than an ohm.
        ({"reading": "3.2993 V"}, "leak", "No leak"),
        ({"reading": "3.2992 V"}, "leak", "Leak to ground"),
        ({"reading": "1.501 mV"}, "leak", "Leak to ground"),
        ({"reading": "1.498 mV"}, "leak", "Short to ground"),
        ({"reading": "0.249 V"}, "cc", "Nothing advertised"),
        ({"reading": "0.25 V"}, "cc", "Advertised"),
        ({"reading": "2.04 V"}, "cc", "Advertised"),
        ({"reading": "2.041 V"}, "cc", "Nothing pulls it down"),
        ({"drop": "0.99 V", "resistance": "1 ohm"}, "fuse", "Current"),
        ({"drop": "1 V", "resistance": "1 ohm"}, "fuse", "Fuse open"),
    ],
)
def test_where_one_answer_ends_and_the_next_begins(reading, kind, first):
    """3.3 V over 2.2 kohm are 1.5 mA, so 1.5 mV are an ohm; the meter takes 0.022 % of 3.3 V."""
    assert answers(kind, **(LINE | reading if kind == "leak" else reading)).startswith(first)


@pytest.mark.parametrize(("short", "refused"), [("4.9 mohm", True), ("5 mohm", False)])
def test_a_short_that_no_meter_tells_from_its_leads_is_refused(short, refused):
    if refused:
        with pytest.raises(InputError, match="less than leads and meter can show"):
            plan_injection(q("3.3 V"), q(short))
    else:
        assert plan_injection(q("3.3 V"), q(short)).start_amps == 1.0


def test_what_an_injection_brings_into_the_short_is_seen_at_the_start_and_at_the_ceiling():
    """0.5 V into 10 ohm: 25 mW, 5 K; 12 V: 14.4 W."""
    found = plan_injection(q("12 V"), q("10 ohm"))
    assert (found.start_heat, found.most_heat) == ("camera", "plain")


def test_at_the_very_rise_that_a_camera_or_alcohol_shows_it_is_seen():
    """200 K a watt: 1 K of 5 mW, 10 K of 50 mW."""
    assert (seen_by(0.005), seen_by(0.05)) == ("camera", "plain")


def test_a_reading_that_may_lie_above_its_rail_carries_nothing_at_least():
    found = find_leak(q("3.42 V 5%"), q("2.2 kohm"), q("3.42 V"), METER)
    assert (found.current.low, found.power.low, found.resistance.high) == (0, 0, math.inf)
