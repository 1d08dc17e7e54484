"""Long work says how far it has come, on a terminal only; short work says nothing."""

from __future__ import annotations

import io

import pytest

from benchlore.progress import QUIET, progress


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


class Clock:
    """Goes on by a step each time that it is looked at."""

    def __init__(self, step: float) -> None:
        self.now, self.step = 0.0, step

    def __call__(self) -> float:
        self.now += self.step
        return self.now


def said(stream: io.StringIO, step: float, total: int = 10) -> str:
    with progress("families checked", stream, Clock(step)) as tell:
        for done in range(total + 1):
            tell(done, total)
    return stream.getvalue()


def test_a_terminal_is_told_the_count_and_the_time_left():
    """After 3 of 10 done in 4 s, 7 are left, 9 s; the line is wiped away at the end."""
    shown = said(Terminal(), 1.0)
    assert "\rfamilies checked: 3 of 10, 9 s left" in shown
    assert shown.endswith("\r")
    assert shown.split("\r")[-2].strip() == ""


def test_minutes_are_said_as_minutes():
    assert "1 of 10, 9 min 0 s left" in said(Terminal(), 30.0)


@pytest.mark.parametrize(("stream", "step"), [(io.StringIO(), 1.0), (Terminal(), QUIET / 20)])
def test_no_terminal_and_short_work_are_told_nothing(stream, step):
    assert said(stream, step) == ""
