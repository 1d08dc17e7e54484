"""The constants of the model, each beside what it means (common practice, no source)."""

from __future__ import annotations

import math

import pytest

from benchlore.diagnosis import (
    boards,
    comes_of,
    conflict,
    hypotheses,
    likelihood,
    lookahead,
    meter,
    ohms_law,
    plan,
    rank,
    removal,
    simulate,
    suspects,
    verdict,
)
from benchlore.diagnosis.likelihood import Band
from benchlore.diagnosis.lookahead import Place
from benchlore.diagnosis.plan import Node


def test_what_is_not_in_the_records() -> None:
    """A symptom that a record leaves out: one job in 200. Nobody wrote down 6.5 to 30 % of the jobs; each way
    of failing counts for three quarters of a job."""
    assert (hypotheses.NOT_LISTED, hypotheses.UNNAMED) == (0.005, 0.0005)
    assert (hypotheses.LEAST_UNKNOWN, hypotheses.MOST_UNKNOWN, hypotheses.WAY_UNSEEN) == (0.065, 0.30, 0.75)
    assert (hypotheses.TRUST, hypotheses.ALIKE, hypotheses.STRAY) == (0.9, 0.25, 0.05)
    assert (comes_of.LEFT_OUT, comes_of.FAR, comes_of.SPREAD) == (0.1, 0.5, 0.05)
    assert hypotheses.SURE == 0.9
    assert hypotheses.NEAR == 0.5, "the same nets say half of what the same readings say"
    assert hypotheses.DIGITS == 9
    assert hypotheses.FITTED >= 100, "enough rounds to fit"


def test_readings() -> None:
    """Two in a hundred mean nothing; of these one in ten lies anywhere, a tenth of them over-range. Of a
    board with something else at fault seven readings in ten are healthy, more where a look shows a part."""
    assert likelihood.NOT_THE_PART == 0.4
    assert (likelihood.BLUNDER, likelihood.ANYWHERE, likelihood.OVER_RANGE) == (0.02, 0.1, 0.1)
    assert (likelihood.HEALTHY, likelihood.EDGE, likelihood.PLACES) == (0.7, 0.025, 16)
    assert [share for pair in likelihood.ELSEWHERE for share in pair] == pytest.approx(
        [2 / 3, 0.9, 1 / 3, 0.3]
    )
    assert (likelihood._OPEN_SHARE_UNPOWERED, likelihood._OPEN_SHARE_POWERED) == (0.5, 0.05)
    assert pytest.approx(2.5066282746) == likelihood._SQRT_2PI
    assert Band("a", 0, 1, 0, 1, 0, True).inside == 1.0


def test_two_faults_at_once() -> None:
    assert (conflict.TWICE, conflict.PAIRED, conflict.LEAST, conflict.LEADS) == (0.02, 24, 0.05, 0.1)
    assert ohms_law.OVERLOAD == 2.0, "IEC 60127-2, from memory"


def test_meters_and_verdicts() -> None:
    assert (math.sqrt(2), math.sqrt(3)) == (meter._SQRT2, meter._SQRT3)
    assert (meter.MOST_APART, meter._TENTH, meter._SMALLEST) == (1000.0, 0.1, 1e-15)
    assert (verdict.DECIDED, verdict.FAR, rank.EXPLAINED) == (0.95, 3.0, 0.5)


def test_looking_ahead() -> None:
    assert (lookahead.DEPTH, lookahead.BEAM, lookahead.WIDE) == (2, 5, 8)
    assert (lookahead.ALIKE, lookahead.TELLS) == (0.9, 1e-9)
    assert (lookahead.UNLIKELY, lookahead.GAIN) == (1e-4, 1e-9)
    assert lookahead._NEVER > 1e200
    assert Place((1.0,), ()) == Place((1.0,), (), 0, 0, 0, (), ())
    assert (plan.STEPS, plan.FEW, plan.RARE) == (400, 40, 1e-4)
    assert plan.DEPTHS == ((0.25, 3), (0.02, 2), (0.0, 1))
    assert Node("escalate", "", 1.0, 1.0, 1.0).success == 0.0


def test_what_is_plugged_in_and_what_holds_a_net() -> None:
    assert (suspects.TEND, suspects.WORN_OUT, suspects.WARMS) == (12.0, 0.2, 0.8)
    assert (suspects.LOOK_FOR, suspects.CHECK, suspects.SOUND_OUTSIDE, suspects.NAMED) == (6.0, 2.0, 0.5, 4)
    assert removal._LEAST == 1e-4


def test_boards_that_do_not_follow_the_model() -> None:
    assert (boards.OFF, boards.MISREAD, boards.UNRECORDED, boards.UNRECORDED_HEALTHY) == (
        3.0,
        0.02,
        0.05,
        0.9,
    )
    assert (boards.DOWN, boards._STRAY, simulate.BINS) == (0.1, 0.05, 10)
