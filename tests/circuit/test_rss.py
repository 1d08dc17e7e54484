"""Root-sum-square against `uncertainties`, a library of its own for linear error propagation."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchlore.circuit import divider, path, pull_up, rc
from benchlore.circuit.rss import Toleranced, root_sum_square
from tests.parts import Library

uncertainties = Library("uncertainties")
umath = Library("uncertainties.umath")

value = st.floats(0.5, 1e5)
share = st.sampled_from([0.001, 0.01, 0.05])
inputs = st.lists(st.tuples(value, share), min_size=4, max_size=4)


def check(function, formula, given):
    """The formula as `uncertainties` propagates it, against the function that the book uses."""
    ours = root_sum_square(function, [Toleranced(v, v * s) for v, s in given])
    theirs = formula(*(uncertainties.ufloat(v, v * s) for v, s in given))
    assert ours.value == pytest.approx(theirs.n, rel=1e-9)
    assert ours.tolerance == pytest.approx(theirs.s, rel=1e-5, abs=1e-9 * abs(theirs.n))


@given(inputs)
def test_feedback_divider(given):
    check(divider.feedback, lambda v, t, b: v * (1 + t / b), given[:3])


@given(inputs)
def test_divider_with_a_meter(given):
    check(divider.divider, lambda v, t, b, m: v * (b * m / (b + m)) / (t + b * m / (b + m)), given)


@given(inputs)
def test_pull_up_with_a_meter(given):
    # The textbook form, in which the meter stands twice: the library follows that it is one value.
    check(pull_up.level, lambda v, p, m: v * m / (p + m), given[:3])


@given(inputs)
def test_drop_over_a_switch(given):
    check(path.after_resistance, lambda v, r, i: v - r * i, given[:3])


@given(value, value, st.floats(0.1, 0.9), share, share)
def test_delay(r, c, level, one, other):
    check(
        rc.delay,
        lambda r, c, v, s: -r * c * umath.log(1 - v / s),
        [(r, one), (c, other), (level * 3.3, 0.01), (3.3, 0.01)],
    )


def test_without_tolerance_there_is_none():
    assert root_sum_square(divider.feedback, [Toleranced(v, 0) for v in (0.8, 31.6e3, 10e3)]).tolerance == 0


def test_an_open_tolerance_stays_open():
    found = root_sum_square(path.after_diode, [Toleranced(5, 0.1), Toleranced(0.3, math.inf)])
    assert found.tolerance == math.inf


def test_it_is_never_wider_than_the_worst_case():
    given = [Toleranced(0.8, 0.008), Toleranced(31.6e3, 316), Toleranced(10e3, 100)]
    worst = divider.feedback(*(v.interval for v in given))
    assert worst.contains(root_sum_square(divider.feedback, given).interval)
