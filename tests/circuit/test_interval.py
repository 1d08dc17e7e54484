import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchlore.circuit import divider, path, pull_up, rc
from benchlore.circuit.interval import CircuitError, Interval, interval, log, monotone
from benchlore.quantity import parse_quantity

values = st.floats(0.1, 1e6)
shares = st.floats(0, 0.2)


@st.composite
def tolerances(draw):
    value, share = draw(values), draw(shares)
    return Interval(value * (1 - share), value * (1 + share))


def within(limits: Interval, value: float) -> bool:
    return limits.contains(Interval(value, value))


@given(tolerances(), tolerances(), tolerances(), st.lists(st.floats(0, 1), min_size=3, max_size=3))
def test_any_values_within_their_tolerance_give_a_result_within_the_worst_case(a, b, c, at):
    x, y, z = (i.low + (i.high - i.low) * t for i, t in zip((a, b, c), at, strict=True))
    no_meter = Interval(math.inf, math.inf)
    assert within(divider.feedback(a, b, c), divider.feedback(x, y, z))
    assert within(divider.divider(a, b, c, no_meter), divider.divider(x, y, z, math.inf))
    assert within(pull_up.level(a, b, c), pull_up.level(x, y, z))
    assert within(path.after_resistance(a, b, c), path.after_resistance(x, y, z))


@given(tolerances(), tolerances(), tolerances())
def test_worst_case_is_reached_at_a_corner(a, b, c):
    exact = monotone(divider.feedback, (a, b, c))
    found = divider.feedback(a, b, c)
    assert found.low == pytest.approx(exact.low, rel=1e-12)
    assert found.high == pytest.approx(exact.high, rel=1e-12)


def test_delay_at_its_corners():
    r, c, v, s = Interval(9.5e3, 10.5e3), Interval(0.8e-6, 1.2e-6), Interval(1.1, 1.3), Interval(3.2, 3.4)
    found, exact = rc.delay(r, c, v, s), monotone(rc.delay, (r, c, v, s))
    assert (found.low, found.high) == pytest.approx((exact.low, exact.high), rel=1e-12)


def test_a_threshold_that_may_not_be_reached_is_refused():
    with pytest.raises(CircuitError, match="logarithm"):
        rc.delay(Interval(1e3, 1e3), Interval(1e-6, 1e-6), Interval(3.0, 3.3), Interval(3.2, 3.4))
    with pytest.raises(CircuitError, match="logarithm"):
        rc.delay(1e3, 1e-6, 3.3, 3.3)


def test_arithmetic_with_plain_numbers():
    a = Interval(1, 2)
    assert a + 1 == 1 + a == Interval(2, 3)
    assert 1 - a == Interval(-1, 0)
    assert -2 * a == Interval(-4, -2)
    assert 2 / a == Interval(1, 2)
    assert log(Interval(1, math.e)) == Interval(0, 1)


def test_what_may_be_zero_cannot_divide():
    with pytest.raises(CircuitError, match="zero cannot divide"):
        1 / Interval(-1, 1)


def test_ends_in_order():
    with pytest.raises(CircuitError, match="no value lies"):
        Interval(2, 1)
    with pytest.raises(CircuitError, match="no value lies"):
        Interval(math.nan, 1)


def test_open_ends():
    above = interval(parse_quantity("over 100 kohm"))
    assert above == Interval(1e5, math.inf)
    assert above.middle == 1e5
    assert above.contains(Interval(2e5, math.inf))
    assert 1 / above == Interval(0, 1e-5)
    assert (0.0 * above) == Interval(0, 0)
    assert Interval(math.inf, math.inf).half_width == 0


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        ((0, 0), (math.inf, math.inf), (0, 0)),
        ((0, 0), (-math.inf, math.inf), (0, 0)),
        ((1, 2), (0, math.inf), (0, math.inf)),
        ((-1, -1), (2, 3), (-3, -2)),
        ((2, 3), (-1, -1), (-3, -2)),
        ((-1, 2), (-3, 1), (-6, 3)),
        ((1, 1), (2, 3), (2, 3)),
    ],
)
def test_a_product_is_that_of_the_ends(one, other, expected):
    assert Interval(*one) * Interval(*other) == Interval(*expected)


def test_sums_differences_and_quotients():
    a, b = Interval(1, 2), Interval(10, 30)
    assert a + b == Interval(11, 32)
    assert b - a == Interval(8, 29)
    assert b / a == Interval(5, 30)
    assert -b == Interval(-30, -10)
    assert b - 1 == Interval(9, 29)
    assert b / 10 == Interval(1, 3)
    for ends in ((0, 1), (-1, 0), (0, 0)):
        with pytest.raises(CircuitError, match="zero cannot divide"):
            a / Interval(*ends)


@pytest.mark.parametrize(
    ("low", "high", "middle", "half_width"),
    [
        (1, 3, 2, 1),
        (2, 2, 2, 0),
        (-4, 2, -1, 3),
        (5, math.inf, 5, math.inf),
        (-math.inf, 5, 5, math.inf),
        (math.inf, math.inf, math.inf, 0),
    ],
)
def test_middle_and_half_width(low, high, middle, half_width):
    found = Interval(low, high)
    assert (found.middle, found.half_width) == (middle, half_width)


def test_the_hull_holds_both():
    assert Interval(1, 3).hull(Interval(2, 5)) == Interval(2, 5).hull(Interval(1, 3)) == Interval(1, 5)
    assert Interval(1, 5).hull(Interval(2, 3)) == Interval(1, 5)


@pytest.mark.parametrize(
    ("low", "high", "within"),
    [
        (1, 2, True),
        (1 - 0.9e-9, 2, True),  # rounding: a billionth of the end
        (1 - 1.1e-9, 2, False),
        (1, 2 + 1.9e-9, True),
        (1, 2 + 2.1e-9, False),
        (1.2, 1.3, True),
        (1, math.inf, False),
        (-math.inf, 2, False),
    ],
)
def test_what_lies_within_but_for_rounding(low, high, within):
    assert Interval(1, 2).contains(Interval(low, high)) is within
    assert Interval(-2, -1).contains(Interval(-high, -low)) is within


def test_a_logarithm_exists_above_zero_only():
    assert log(1.0) == 0
    assert log(Interval(0.5, 1)) == Interval(math.log(0.5), 0)
    for value in (0.0, -1.0, Interval(0, 1), Interval(-1, 1)):
        with pytest.raises(CircuitError, match="logarithm"):
            log(value)


def test_of_a_function_that_falls_with_one_value_and_rises_with_the_other():
    found = monotone(lambda a, b: a - 10 * b, (Interval(1, 2), Interval(3, 4)))
    assert found == Interval(1 - 40, 2 - 30)


def test_what_ends_at_zero_or_nowhere_lies_within_itself():
    for low, high in ((0, 1), (-1, 0), (0, 0), (0, math.inf), (-math.inf, 0)):
        assert Interval(low, high).contains(Interval(low, high))
